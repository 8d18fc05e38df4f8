"""The call area: the line to say now, the ladder below it, what has been said above, the times over all."""
