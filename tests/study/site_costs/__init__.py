"""What the site adds to packages."""
