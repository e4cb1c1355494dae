"""A case from a dealer's list: what is asked in the terminal, and what is made of the answers."""
