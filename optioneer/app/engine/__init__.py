"""What works for the pages without being seen: answers kept, drafts, slow work."""
