"""What can go wrong when a run is followed."""


class HeadlessError(Exception):
    """A run that could not be carried through, in one sentence."""
