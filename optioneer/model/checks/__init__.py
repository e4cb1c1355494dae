"""What facts must be to one another, beyond what each is by itself."""
