"""Afterwards: where the time went, what became of every cue, and what the tour teaches. Pure functions."""
