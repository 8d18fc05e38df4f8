"""What can go wrong between machines."""


class JoinError(Exception):
    """Why a machine is not joined to another, in one sentence."""
