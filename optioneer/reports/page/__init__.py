"""What every page is made of: parts, money as text, the order's sum."""
