"""What can be wrong with a review."""


class ReviewError(ValueError):
    """These records cannot be reviewed against this plan; the text is one sentence."""


class ExportStopped(Exception):  # noqa: N818 - it reads as what it is
    """The export was stopped; nothing was left behind."""
