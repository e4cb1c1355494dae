"""The road to first chips, as its page draws it: floor, moves, tasks, what is done."""
