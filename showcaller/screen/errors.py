"""What can go wrong with a picture's file, apart from the library that reads it."""


class ClipError(Exception):
    """A file that cannot be used as a video; one sentence."""
