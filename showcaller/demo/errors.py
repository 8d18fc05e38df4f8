"""What can go wrong with the demo's devices."""


class ReceiverError(Exception):
    """A device that cannot be set up, in one sentence."""
