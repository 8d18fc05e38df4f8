"""What the gallery's screen is told: every source in its fixed place, on the wall, coming or free. Pure."""

from functools import lru_cache
from typing import Any

from showcaller.model.base import ById
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.playing import look_now
from showcaller.run.runbook import RunBook
from showcaller.screen.board import Needs, needs_of, tallies
from showcaller.screen.looks import layer_keys

STEP_MS = 100


@lru_cache(maxsize=4)
def _needs(wrapped: ById) -> Needs:
    compiled: CompiledShow = wrapped.part
    return needs_of(compiled.plan)


def board_state(book: RunBook, now_ns: int) -> list[dict[str, Any]]:
    """A card for each source, in the show's order: ``shows`` is on, coming or free; ``at`` is when it is
    needed, in ms of the run's clock to a tenth of a second, for one that is coming while that clock runs."""
    show, state = book.compiled.plan.show, book.state
    on = state.on_wall
    seen = frozenset[str]()
    if on is not None and show.wall is not None:
        look = look_now(show, on)
        layers = zip(layer_keys(look), look.layers, strict=True)
        seen = frozenset(one.source for key, one in layers if not on.played.get(key, {}).get("hidden"))
    item_ns = state.item_ns(now_ns)
    runs = item_ns is not None and state.phase == "running" and not state.stands
    item = min(state.item, len(book.compiled.items) - 1)
    cards = tallies(book.compiled.plan, _needs(ById(book.compiled)), item, (item_ns or 0) / NS, seen)
    found = []
    for card in cards:
        coming = card.state == "coming" and runs and card.in_s is not None
        at_ms = None if not coming else card.in_s * 1000 + now_ns / 1_000_000  # type: ignore[operator]
        found.append(
            {
                "name": card.source.name,
                "kind": card.source.kind,
                "shows": card.state if card.state == "on" or coming else "free",
                "at": None if at_ms is None else round(at_ms / STEP_MS) * STEP_MS,
            }
        )
    return found
