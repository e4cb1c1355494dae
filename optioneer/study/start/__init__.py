"""What is a case to start from: the options of a list, and the work that they are for."""
