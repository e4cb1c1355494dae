"""Packages, quotes and the request to the dealer, as the page for the buyer draws them."""
