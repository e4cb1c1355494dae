"""Files written so that nothing is lost, and read so that nothing is mixed."""
