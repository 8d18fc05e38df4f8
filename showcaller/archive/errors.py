"""What can go wrong with a tour, said in one sentence."""


class TourError(Exception):
    """A tour that cannot be used as asked; the text is one sentence. What was stored is as it was."""


class TourAway(TourError):  # noqa: N818 - it reads as what it is
    """The tour's database does not answer just now; what is not in it yet waits in the runs' journals."""
