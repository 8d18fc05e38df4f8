"""The wall, its inputs and its sources as lines of a form; the doors are in ``rows``."""
