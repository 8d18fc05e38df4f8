"""What a desk on another machine may do to a run, by its seat. Pure.

The engine asks this, whatever the window there shows. A seat that is not known here may do nothing.
"""

from typing import Literal, get_args

from showcaller.run import commands as c

Seat = Literal["caller", "director", "stage", "watcher", "engine"]
"""``engine`` is the second machine: whoever stands at it is to be able to call the show."""

SEATS: tuple[Seat, ...] = get_args(Seat)
SEAT_NAMES = {
    "caller": "caller", "director": "video director", "stage": "stage manager", "watcher": "watcher",
    "engine": "second machine",
}  # fmt: skip

_ALL = ("caller", "engine")
_WRITES = (
    c.WriteNote, c.OpenIncident, c.WriteIncident, c.Fault, c.OpenPage, c.ClosePage, c.TickLine, c.UntickLine,
)  # fmt: skip
_MAY = {
    "director": (*_WRITES, c.PutLook, c.PlayLayer, c.BackToPlan),
    "stage": (
        *_WRITES, c.Clear, c.MarkWalkStep, c.StopWalk, c.UnmarkWalkStep, c.MarkMoment, c.AnnounceDelay,
    ),
    "watcher": (),
}  # fmt: skip


def may(seat: str, desk: str, command: c.Command) -> bool:
    """Whether the desk (its id), sitting there, may give the command, the calls aside. It speaks for itself
    alone: no desk asks for the calls, takes them or opens a run in another's name."""
    if seat in _ALL:
        return not isinstance(command, c.Start | c.AskForCalls | c.TakeCalls) or command.desk == desk
    return isinstance(command, _MAY.get(seat, ()))


_EDITS = ("caller", "director", "stage", "engine")


def may_edit(seat: str) -> bool:
    """Whether a desk sitting there may change the book."""
    return seat in _EDITS


def no_edit(seat: str) -> str:
    """What it is told if it may not."""
    name = SEAT_NAMES.get(seat, "this")
    return f"the {name}'s seat has no right to change the book: ask the caller for another seat"


def refused(seat: str, command: str) -> str:
    """What such a desk is told; ``command`` is the kind of what it asked."""
    name, what = SEAT_NAMES.get(seat, "this"), command.replace("_", " ")
    if seat in _ALL:
        return f"a desk may '{what}' in its own name alone: press the key at the desk that is to have it"
    return f"the {name}'s seat has no right to '{what}': ask the caller to do it, or for another seat"
