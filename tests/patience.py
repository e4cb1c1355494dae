"""How long a test waits before it calls something hung: nothing a slow machine can miss."""

PATIENCE = 900.0
"""Far more than anything takes; whoever is done earlier goes on at once [s]."""
