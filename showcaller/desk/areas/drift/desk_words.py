"""What voice, key and desk tell of one cue, in words. No Qt."""

from showcaller.review.tables import CueRow
from showcaller.review.voice import SecondsArose


def desk_words(c: CueRow, arose: SecondsArose | None) -> str:
    """Where its seconds arose, as far as voice and desk tell, behind the rest."""
    if arose is not None and arose.finger_s is not None:
        return f" · {arose.words}" + (" · not seen" if c.seen == "not seen" else "")
    if c.done_s is None:
        return " · not seen" if c.seen == "not seen" else ""
    return f" · done {c.done_s:+.2f} s".replace("-", "−")
