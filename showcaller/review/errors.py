"""What can be wrong with a review."""


class ReviewError(ValueError):
    """These records cannot be reviewed against this plan; the text is one sentence."""
