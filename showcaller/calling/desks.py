"""Several desks on one run: what each is told about who has the calls. Pure."""

from collections.abc import Mapping

from showcaller.run.runbook import RunBook

WATCHERS_MAY = frozenset(
    {"note", "incident", "incident_form", "fault", "walk", "override", "calls", "pages", "last_note"}
    | {"house_lights", "delay", "take_here", "plug"}
    | {f"clear{n}" for n in range(1, 10)}
)
"""Actions on a run that a desk without the calls has as well; ``open`` and the window's own aside."""


def watch_words(book: RunBook, desk: str, gone: bool, key: str) -> str:
    """What stands over the box of a desk that watches; empty for the one that has the calls."""
    state = book.state
    if state.calling in ("", desk) or state.phase == "ended":
        return ""
    who = state.caller or "another desk"
    if gone:
        return f"you watch · {who}'s desk is gone · {key} takes the calls"
    if state.asking is not None and state.asking.desk == desk:
        return f"you watch · {who} was asked for the calls · {key} takes them with a reason"
    return f"you watch · {who} has the calls · {key} asks for them"


def asking_words(book: RunBook, desk: str, key: str) -> str:
    """What the desk with the calls is told while another asks for them; empty if none does."""
    state = book.state
    if state.asking is None or state.calling != desk:
        return ""
    return f"{state.asking.caller} asks for the calls: {key} {key} hands them over"


def others(book: RunBook, desk: str) -> Mapping[str, str]:
    """The other desks that are there: id → name."""
    return {id_: name for id_, name in book.desks.items() if id_ != desk}
