"""What a run is: commands, events, state, the compiled show, ``step`` and the folded log. Pure."""
