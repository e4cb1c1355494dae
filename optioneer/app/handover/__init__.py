"""Deciding, papers that travel, and what came since, as their page draws them."""
