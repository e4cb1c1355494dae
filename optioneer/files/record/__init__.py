"""Decisions and what came of them, kept so that a change of them is seen."""
