"""Faces: answers as words and tables."""
