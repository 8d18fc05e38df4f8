"""Other machines on one run: the door they come in by, the desk at its other end, the second machine."""
