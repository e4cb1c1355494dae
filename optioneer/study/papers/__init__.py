"""All answers about one case together, for whoever puts them on paper."""
