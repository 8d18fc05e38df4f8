"""The wall area: the wall to scale, the layers of the look on it, what they cost."""
