"""The list of what stood on the wall: all of the run, or a part of it that was asked about. No Qt."""

from collections.abc import Sequence

from showcaller.calling.wording import span
from showcaller.desk.areas.drift.lists import Row
from showcaller.review.clock_path import clock_path
from showcaller.review.report import RunReport
from showcaller.review.stood import RunInstant, Stood, StoodLayer, StoodPlayed, stood_in
from showcaller.review.windows import RunPart, asked
from showcaller.run.compiled import compile_show

_HAIR_NS = 1_000_000
"""A section begins on its first bar and not on the last of the one before it, whatever was rounded."""


class StoodList:
    """The wall's page: worked out when it is first looked at, or asked about. ``words`` is what part it
    shows."""

    def __init__(self) -> None:
        self.words = ""
        self._text = ""
        self._rows: tuple[Row, ...] | None = None

    def rows(self, report: RunReport) -> tuple[Row, ...]:
        """Its lines."""
        if self._rows is None:
            self.ask(report, self._text)
        return self._rows or ()

    def ask(self, report: RunReport, text: str) -> None:
        """Show a part of the run.

        Raises:
            ReviewError: the text names none.
        """
        meant, self._rows = stood_rows(report, text)
        self.words, self._text = meant.words, text

    def forget(self, same: bool) -> None:
        """Another run is shown, or the same one read anew: then what was asked about stays."""
        self._rows = None
        self._text = self._text if same else ""


def stood_rows(report: RunReport, text: str = "") -> tuple[RunPart, tuple[Row, ...]]:
    """What is meant by ``text`` (all of the run if it is empty), and a line for every look that stood in it.

    Raises:
        ReviewError: it names no part of this show.
    """
    path = clock_path(compile_show(report.opened), report.records)
    if text:
        meant = asked(text, report.plan, path, report.records, report.zone)
    else:
        end_ns = report.records[-1].t_ns if report.records else 0
        meant = RunPart("the whole show", ((0, end_ns + 1),))
    items = {item.item.name: item.item.id for item in report.plan.items}
    found = stood_in(report.plan, path, report.records, meant.spans)
    named = len({one.since.item for one in found}) > 1
    return meant, tuple(row for one in found for row in _rows(one, items, meant.spans, named))


def _in_part(t_ns: int, spans: Sequence[tuple[int, int]]) -> int:
    """The moment that is looked at for what has stood since ``t_ns``: the first in the part asked about."""
    start_ns = next((start for start, end in spans if t_ns < end), t_ns)
    return t_ns if t_ns >= start_ns else start_ns + _HAIR_NS


def _rows(one: Stood, items: dict[str, str], spans: Sequence[tuple[int, int]], named: bool) -> Sequence[Row]:
    """``named``: the item's name is said too, there are several."""
    until = _place(one.until, one.since.item) if one.until is not None else "the end"
    hand = ", by hand" if one.by_hand else ""
    tone = "caution" if one.by_hand else "text"
    t_ns, item = _in_part(one.since.t_ns, spans), items.get(one.since.item, "")
    head = Row(
        _short(one.since, named),
        f"“{one.look}” until {until}: {one.how}{hand}",
        tone=tone,
        t_ns=t_ns,
        item=item,
    )
    layers = [
        Row(
            "",
            f"{layer.words} · {_arrived(layer, one.since.item)}",
            tone="quiet",
            t_ns=max(t_ns, _in_part(layer.arrived.t_ns, spans)),
            item=item,
        )
        for layer in one.layers
    ]
    played = [
        Row(
            _short(hand.since, named),
            f"{hand.words} · {_from_to(hand, one.since.item)}, by hand",
            tone="caution",
            t_ns=_in_part(hand.since.t_ns, spans),
            item=item,
        )
        for hand in one.played
    ]
    return (head, *layers, *played)


def _from_to(hand: StoodPlayed, item: str) -> str:
    """``at bar 20 / 1``, ``from bar 20 / 1 to bar 22 / 3``."""
    since, until = _place(hand.since, item), _place(hand.until, item)
    return f"at {since}" if since == until else f"from {since} to {until}"


def _arrived(layer: StoodLayer, item: str) -> str:
    return f"{'there since' if layer.carried else 'there at'} {_place(layer.arrived, item)}"


def _place(moment: RunInstant, item: str) -> str:
    """A moment, without the item's name where that is known."""
    if moment.item != item or moment.at_s is None:
        return moment.words
    return f"bar {moment.bar} / {moment.beat}" if moment.bar is not None else span(moment.at_s)


def _short(moment: RunInstant, named: bool) -> str:
    """A moment for a narrow column: what differs first."""
    if moment.at_s is None:
        return moment.words
    place = f"bar {moment.bar} / {moment.beat}" if moment.bar is not None else span(moment.at_s)
    return f"{place}  {moment.item}" if named else place
