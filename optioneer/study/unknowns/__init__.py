"""Which figures that nobody knows for sure the choice hangs on."""
