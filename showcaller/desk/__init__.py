"""The desk: the Qt window with its four areas. Thin: what is shown is worked out in the rooms below."""
