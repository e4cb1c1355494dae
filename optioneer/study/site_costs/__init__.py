"""What the site adds to the cost of each package, and what of it a bound may count on."""
