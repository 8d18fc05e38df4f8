"""The drift area: where the time of a run went, what became of every cue, what the tour teaches."""
