"""Commands that keep the record of a case: what was decided, and what came of it."""
