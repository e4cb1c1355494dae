"""From the facts of a case to the arrays of its valuation, and how far the work is."""
