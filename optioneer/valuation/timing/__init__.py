"""When to retrofit: learned and swept backward in time, lived forward."""
