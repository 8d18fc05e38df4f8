"""What a run has on the wall, from its log alone: the looks of an item as they came, as played. Pure."""

from fractions import Fraction

from showcaller.model import Look, LookChange, Show
from showcaller.run.events import LookShown
from showcaller.run.playing import look_now, look_of
from showcaller.run.runbook import RunBook
from showcaller.run.state import OnWall
from showcaller.screen.looks import Change, Looks, arrange, beats_s, carried, layer_keys

_NEAR_S = 1e-6


def looks_as_run(book: RunBook, item: int, at_s: float) -> Looks:
    """The looks of the item that is on as they really came, at ``at_s`` of its clock; without what is played
    of the one that stands (:func:`with_hand`).

    Where the clock was put back behind what stands (a section again, a jump), that stands still, as if it was
    carried over from before.
    """
    plan, looks = book.compiled.plan, book.looks
    name = plan.items[item].item.id
    first = next((n for n in range(len(looks), 0, -1) if looks[n - 1].item != name), 0)
    if gone_back(book, item, at_s):
        first = len(looks)
    kept: list[tuple[float, int]] = []
    for n in range(first, len(looks)):
        came_s = _at_s(book, looks[n], item)
        kept = [k for k in kept if k[0] < came_s] + [(came_s, n)]  # a place gone back to
    changes: list[Change] = [
        (
            Fraction(round(came_s * 1_000_000), 1_000_000),
            change_of(looks[n]),
            _ended(book, n),
            looks[n].cue or "",
        )
        for came_s, n in kept
    ]
    played_s = {
        n: _came_s(on, name) for n, (_, k) in enumerate(kept, 1) if (on := book.ended_as.get(k)) is not None
    }
    before = _ended(book, first - 1) if first else carried(plan, item)
    return arrange(plan.items[item], changes, before, played_s)


def _at_s(book: RunBook, shown: LookShown, item: int) -> float:
    """When a look came, s on the item's clock. One put up while no clock runs (before the first go, between
    two songs) came so long before 0 that it is there at 0: on a clock that stands it would never be."""
    if shown.at_s is not None:
        return float(shown.at_s)
    layers = look_of(book.compiled.plan.show, shown).layers
    beats = max((x.arrives_after + x.arrives_over for x in layers), default=0.0)
    return -shown.over_s - float(beats_s(book.compiled.plan.items[item], Fraction(0), beats))


def gone_back(book: RunBook, item: int, at_s: float) -> bool:
    """Whether the clock of the item that is on stands before the look that has come last in it."""
    if not book.looks or book.looks[-1].item != book.compiled.plan.items[item].item.id:
        return False
    return float(book.looks[-1].at_s or 0.0) > at_s + _NEAR_S


def with_hand(show: Show, looks: Looks, on: OnWall) -> Looks:
    """The looks with what a hand plays of the last one, which stands."""
    last = looks.standing[-1]
    came_s = _came_s(on, looks.planned.item.id)
    since_s = tuple(
        came_s.get(key, since_s) for key, since_s in zip(layer_keys(last.look), last.since_s, strict=True)
    )
    standing = (*looks.standing[:-1], last._replace(look=look_now(show, on), since_s=since_s))
    return Looks(looks.planned, standing, looks.length_s)


def planned_look(show: Show, on: OnWall | None) -> Look | None:
    """The look the plan has on the wall; None before any."""
    return None if on is None or on.planned is None else look_of(show, on.planned)


def change_of(shown: LookShown) -> LookChange:
    """How the look of a log's entry came."""
    return LookChange.model_validate(
        {"look": shown.look, "by": shown.by, "beats": shown.beats, "ease": shown.ease}
    )


def _ended(book: RunBook, n: int) -> Look:
    """A look as it stood when the next one came."""
    show, on = book.compiled.plan.show, book.ended_as.get(n)
    return look_of(show, book.looks[n]) if on is None else look_now(show, on)


def _came_s(on: OnWall, item: str) -> dict[str, float]:
    """When a hand gave layers another source, s on this item's clock; what came before it is left out."""
    return {key: at_s for key, (where, at_s) in on.came.items() if where == item}
