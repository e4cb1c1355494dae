"""Facts: what is true of the machine, its options, the growth of the shop. Frozen, checked once."""
