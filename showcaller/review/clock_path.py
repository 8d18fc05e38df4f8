"""Which item's clock showed what, at every moment of a run: the log put through the run's own machine.
Pure."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.machine import first_state, step
from showcaller.run.runlog import Record


class Stretch(NamedTuple):
    """From ``from_ns`` to ``to_ns`` (the run's clock) the ``item``-th item's clock ran, or stood, from
    ``at_ns`` on."""

    from_ns: int
    to_ns: int
    item: int
    at_ns: int
    moves: bool


Span = tuple[int, int]
"""From, to: instants of the run's clock in ns; the end is not part of it."""


def clock_path(compiled: CompiledShow, records: Sequence[Record]) -> tuple[Stretch, ...]:
    """The run's stretches in order, up to its last record; none while no item's clock was on. ``compiled`` is
    the show as the run was opened; items are counted in the edition that it ended with."""
    state, found, ids = first_state(compiled), list[Stretch](), list[str]()
    for n, record in enumerate(records):
        state, out = step(compiled, state, record.input, record.t_ns)
        compiled = out.compiled or compiled
        at_ns = state.item_ns(record.t_ns)
        until_ns = records[n + 1].t_ns if n + 1 < len(records) else record.t_ns
        if at_ns is None or until_ns <= record.t_ns or state.phase == "ended":
            continue
        moves = state.held_at_ns is None and not state.stands
        found.append(Stretch(record.t_ns, until_ns, state.item, at_ns, moves))
        ids.append(compiled.items[state.item].planned.item.id)
    index = compiled.item_index  # what was on is never cut
    return tuple(part._replace(item=index[ident]) for part, ident in zip(found, ids, strict=True))


def spans_in(path: Sequence[Stretch], item: int, from_s: Fraction, to_s: Fraction) -> tuple[Span, ...]:
    """When an item's clock was from ``from_s`` up to ``to_s``; several where a jump or a shift came back."""
    low, high = round(from_s * NS), round(to_s * NS)
    found: list[Span] = []
    for part in path:
        if part.item != item:
            continue
        if not part.moves:
            span = (part.from_ns, part.to_ns) if low <= part.at_ns < high else None
        else:
            begun = max(part.from_ns, part.from_ns + low - part.at_ns)
            ended = min(part.to_ns, part.from_ns + high - part.at_ns)
            span = (begun, ended) if begun < ended else None
        if span is not None and found and found[-1][1] == span[0]:
            found[-1] = (found[-1][0], span[1])
        elif span is not None:
            found.append(span)
    return tuple(found)


def place_at(path: Sequence[Stretch], t_ns: int) -> tuple[int, int] | None:
    """(item, ns on its clock) at an instant of the run; None where none was on."""
    for part in reversed(path):
        if part.from_ns <= t_ns <= part.to_ns:
            return part.item, part.at_ns + (t_ns - part.from_ns if part.moves else 0)
    return None
