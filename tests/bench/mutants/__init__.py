"""Whether the tests bite: small changes to the sums, and whether any test notices each."""
