"""How far a tap on the downbeat would move the song's clock. Pure."""

from fractions import Fraction

from showcaller.model import Song
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.resync import at_nearest_downbeat


def tap_shift(book: RunBook, now_ns: int) -> tuple[float, float] | None:
    """(by how many seconds a tap now would move the clock, a beat's length in s); None where it moves
    nothing."""
    planned = book.compiled.items[book.state.item].planned
    at_ns, song, tempo = book.state.item_ns(now_ns), planned.item, planned.tempo
    if at_ns is None or tempo is None or not isinstance(song, Song):
        return None
    at_s = Fraction(at_ns, NS)
    found = at_nearest_downbeat(tempo, song.downbeat_s, at_s)
    if found is None:
        return None
    return float(found.shift_s), float(60 / tempo.bpm(at_s - song.downbeat_s))
