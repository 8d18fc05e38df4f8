"""What the caller has said of a song's form, for the eye: in words, and in when things come. Pure."""

from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.run.state import Turn
from showcaller.run.turning import next_turn


def turn_of(book: RunBook, item: int) -> Turn | None:
    """Where the clock of an item will turn: only that of the item that is on does."""
    return next_turn(book.compiled, book.state) if item == book.state.item else None


def shift_s(turn: Turn | None, at_ns: int) -> float | None:
    """How much later (s) what falls at ``at_ns`` of the item comes because of a turn; None if it is cut.

    After a vamp it is counted from the end that comes next: nobody knows how often it turns.
    """
    if turn is None or at_ns < turn.at_ns or turn.what == "vamp":
        return 0.0
    if turn.what == "cut" and at_ns < turn.to_ns:
        return None
    return (turn.at_ns - turn.to_ns) / NS


def is_open(turn: Turn | None, at_ns: int) -> bool:
    """Whether what falls at ``at_ns`` waits for the word that ends a vamp."""
    return turn is not None and turn.what == "vamp" and at_ns >= turn.at_ns


def form_banner(book: RunBook, keys: dict[str, str]) -> str:
    """What stands over the box while a section is to be repeated or cut; ``keys`` has what ends each, by its
    word (again, vamp, cut)."""
    state = book.state
    turn = next_turn(book.compiled, state)
    if turn is None or state.phase not in ("running", "held"):
        return ""
    section = book.compiled.items[state.item].sections[turn.section].name
    key = keys[turn.what]
    if turn.what == "vamp":
        return f"vamp: {section}, pass {state.passes + 1} · {key}: out at its end"
    if turn.what == "again":
        return f"{section} once more · {key}: as planned"
    return f"without {section} · {key}: as planned"
