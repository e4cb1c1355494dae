"""The account with the machine in it: what it earns, how low it falls, what a lender sees."""
