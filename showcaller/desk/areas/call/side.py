"""The right side of the call area: clearances, the next walk-on, outlets, the last notes."""

import itertools
from collections.abc import Sequence

from showcaller.calling.status_view import ClearanceRow, OutletRow
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.told import Walk
from showcaller.values import Struct

RETRIED = "Retried until it answers: check power, cable and address."
"""Below outputs in trouble: what is done about it, and what a person can do."""
_ROW, _MORE = 40, 24
"""A clearance's line, and a second one for who gave it."""
_TROUBLE = {"missed": 0, "caution": 1}
"""What stands before what."""
_FOOT = 96
"""What notes take at the foot."""


class SideContent(Struct, frozen=True):
    """All that stands at the right."""

    clearances: tuple[ClearanceRow, ...] = ()
    walk: Walk | None = None
    outlets: tuple[OutletRow, ...] = ()
    notes: tuple[str, ...] = ()
    earlier: tuple[str, ...] = ()


class SideSheet(Sheet):
    """Marks are shapes first and colours second: a tick, a cross, an hourglass, a ring."""

    def __init__(self, keys: Keys) -> None:
        super().__init__("Clearances, walk-on, outputs and notes")
        self._keys = keys
        self.content = SideContent()

    def show_content(self, content: SideContent) -> None:
        """Show this."""
        if content != self.content:
            self.content = content
            waits = [c.name for c in content.clearances if c.needed and not c.there]
            self.setAccessibleDescription(f"waiting for {', '.join(waits)}" if waits else "all clear")
            self.update()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        left, right = k(20), paper.width - k(28)
        y = k(30)
        if self.content.clearances:
            paper.heading(left, y, "clearances")
            if not self._keys.letters and "clear1" in self._keys.sitting.seat.acts:
                words = f"{self._keys['clear1']} twice: gives 1"
                paper.text(right, y, words, "tiny", "quiet", align="right")
            # Two lines for a row only as long as the walk-on below keeps its room.
            keep = k(450) if self.content.walk is not None else k(300)
            y = self._clearances(paper, left, right, y + k(34), paper.height - keep) + k(18)
        if self.content.walk is not None and y < paper.height - k(430):
            y = self._walk(paper, self.content.walk, left, right, y)
        desks = any(row.id.startswith("desk ") for row in self.content.outlets)
        paper.heading(left, y, "desks and outputs" if desks else "outputs")
        y += k(32)
        y = self._outlets(paper, left, right, y)
        earlier = self.content.earlier[-3:]
        foot = paper.height - k(_FOOT)
        if earlier and foot - y > k(76) + k(28) * len(earlier):
            y_earlier = foot - k(30) - k(28) * len(earlier)
            paper.heading(left, y_earlier, "noted last time")
            for n, words in enumerate(earlier):
                room = right - left
                paper.text(left, y_earlier + k(28) * (n + 1), words, "small", "caution", room=room)
        y = foot  # always in the same place
        paper.heading(left, y, "notes")
        words = self.content.notes[-1] if self.content.notes else f"{self._keys['note']}, then type"
        tone = "text" if self.content.notes else "quiet"
        paper.frame(left, y + k(14), right - left, k(44), "faint", 1)
        paper.text(left + k(12), y + k(43), words, "small", tone, room=right - left - k(24))

    def _outlets(self, paper: Paper, left: float, right: float, y: float) -> float:
        """Those in trouble first, so that none of them is ever among the ones there is no room for."""
        k = paper.px
        rows = sorted(self.content.outlets, key=lambda row: _TROUBLE.get(row.tone, 2))
        fits = max(1, int((paper.height - k(110) - y) // k(32)))
        if len(rows) > fits and len({(row.words, row.tone) for row in rows}) == 1 and rows[0].words:
            one = rows[0]
            rows = [OutletRow("all", f"all {len(rows)}", one.words, one.tone)]
        shown = rows if len(rows) <= fits else rows[: max(1, fits - 1)]
        for row in shown:
            if not row.words:  # a sentence, with its tone in it
                paper.text(left, y, row.name, "small", row.tone, room=right - left)
                y += k(32)
                continue
            used = paper.text(left, y, row.name, "small", "text", room=(right - left) * 0.55)
            paper.text(
                right, y, row.words, "small", row.tone, align="right", room=right - left - used - k(14)
            )
            y += k(32)
        if len(shown) < len(rows):
            hidden = rows[len(shown) :]
            well = all(row.tone == "quiet" for row in hidden)
            words = f"and {len(hidden)} more, all well" if well else f"and {len(hidden)} more"
            paper.text(left, y, words, "small", "quiet")
            y += k(32)
        if any(row.tone == "missed" for row in rows) and y < paper.height - k(180):
            y = paper.wrapped(left, y, RETRIED, right - left, "tiny", "quiet", 2)
        return y

    def _clearances(self, paper: Paper, left: float, right: float, y: float, most: float) -> float:
        """Each with who and when: on its line if that fits, else on a line below while there is room, else
        shorter. Those that are missing come first for that room."""
        k = paper.px
        rows = self.content.clearances[:8]
        spare = int((most - y - k(_ROW) * len(rows)) // k(_MORE))
        long = [row for row in rows if not self._fits(paper, row, left, right)]
        long.sort(key=lambda row: (row.there, not row.needed))
        two = {row.id for row in long[: max(0, spare)]}
        for row in rows:
            self._clearance(paper, row, left, right, y, row.id in two)
            y += k(_ROW) + (k(_MORE) if row.id in two else 0.0)
        return y

    @staticmethod
    def _room(paper: Paper, row: ClearanceRow, left: float, right: float) -> float:
        """What the name leaves beside it."""
        k = paper.px
        name = min(paper.width_of(row.name, paper.size("small")), (right - left) * 0.72)
        return right - left - k(54) - name - k(14)

    def _fits(self, paper: Paper, row: ClearanceRow, left: float, right: float) -> bool:
        return paper.width_of(how_words(row)[0], paper.size("tiny")) <= self._room(paper, row, left, right)

    def _clearance(
        self, paper: Paper, row: ClearanceRow, left: float, right: float, y: float, two: bool
    ) -> None:
        k = paper.px
        tone = "strong" if row.needed else "quiet"
        draw_mark(paper, left + k(10), y - k(7), row)
        paper.text(left + k(34), y, row.key, "tiny", "quiet")
        # The name comes first; who gives it takes what room is left.
        room = right - left - k(54) if two else self._room(paper, row, left, right)
        found = how_words(row)
        how = next((x for x in found if paper.width_of(x, paper.size("tiny")) <= room), "")
        how = how or (found[-1] if two or not row.there else "")
        most = (right - left) * 0.72 if how and not two else right - left - k(54)
        paper.text(left + k(54), y, row.name, "small", tone, room=most)
        if two:
            ink = "caution" if row.who and not row.there else "quiet"
            paper.text(left + k(54), y + k(_MORE), how, "tiny", ink, room=room)
        elif how and room > k(40):
            paper.text(right, y, how, "tiny", "quiet", align="right", room=room)

    def _walk(self, paper: Paper, walk: Walk, left: float, right: float, y: float) -> float:
        k = paper.px
        paper.heading(left, y, walk.name)
        y += k(36)
        paper.text(
            left, y, walk.leave, "line", "caution" if walk.urgent else "strong", "semibold", room=right - left
        )
        y += k(36)
        if walk.beside:
            tone = "text" if walk.clear else "missed"
            y = paper.wrapped(left, y, walk.beside, right - left, "small", tone, 4) + k(8)
        first, count = in_room(walk.steps, int((paper.height - k(_FOOT + 100) - y) // k(34)))
        steps = walk.steps[first : first + count]
        hidden = len(walk.steps) - first - count
        # What later legs need stands below them as long as outputs and notes keep their room.
        spare = int((paper.height - k(260) - y - k(34) * len(steps)) // k(_MORE))
        before: float | None = None
        for n, (step, seen) in enumerate(steps):
            below = walk.needs[first + n] if first + n < len(walk.needs) else ""
            paper.text(left + k(34), y, step, "small", "quiet" if seen else "text", room=right - left - k(40))
            cy = y - k(6)
            y += k(34)
            if below and spare > 0:
                paper.text(left + k(34), y - k(11), below, "tiny", "quiet", room=right - left - k(40))
                y, spare = y + k(_MORE), spare - 1
            if before is not None:
                paper.line(left + k(10), before + k(8), left + k(10), cy - k(8), "faint", 2)
            before = cy
            if seen:
                paper.dot(left + k(10), cy, k(8), "accent")
            else:
                paper.ring(left + k(10), cy, k(7), "text")
        if hidden:
            paper.text(left + k(34), y, f"and {hidden} more", "small", "quiet")
            y += k(34)
        return y + k(22)


def in_room(steps: Sequence[tuple[str, bool]], fits: int) -> tuple[int, int]:
    """(the first step to show, how many) where there is room for ``fits`` lines: what was seen longest ago
    goes first, and a line is kept to say that more come."""
    if not steps or len(steps) <= fits:
        return 0, len(steps)
    fits = max(1, fits)
    coming = next((n for n, (_, seen) in enumerate(steps) if not seen), len(steps) - 1)
    first = max(0, min(coming - (1 if fits > 2 else 0), len(steps) - fits))
    return first, fits if first + fits >= len(steps) else max(1, fits - 1)


def how_words(row: ClearanceRow) -> tuple[str, ...]:
    """How a clearance stands, by whom and since when; after it what says less, for less room."""
    when = row.who.rpartition(", ")[2]
    if row.there and row.words == "clear":
        return (f"clear · {row.who}", row.who, when)
    if row.there:
        return (f"{row.words} · {row.who}", f"{row.words} · {when}", row.words)
    if not row.who:
        return (row.words.removeprefix("waiting for "),)
    if row.words.startswith("withdrawn"):
        return (f"NOT CLEAR · withdrawn by {row.who}", f"NOT CLEAR · {row.who}", "NOT CLEAR")
    no = f"NOT CLEAR · {row.words}"
    return (f"{no} · {row.who}", f"{row.words} · {row.who}", no, row.words, "NOT CLEAR")


def draw_mark(paper: Paper, x: float, y: float, row: ClearanceRow) -> None:
    """How a clearance stands, as a shape."""
    k = paper.px
    r = k(9)
    if row.words == "overridden":
        paper.ring(x, y, r, "caution")
        paper.line(x - r, y, x + r, y, "caution", 3)
    elif row.there:
        paper.line(x - r, y, x - r * 0.2, y + r * 0.8, "accent", 4)
        paper.line(x - r * 0.2, y + r * 0.8, x + r, y - r * 0.9, "accent", 4)
    elif row.words.startswith("withdrawn") or " is over " in row.words:
        paper.line(x - r, y - r, x + r, y + r, "missed", 4)
        paper.line(x - r, y + r, x + r, y - r, "missed", 4)
    elif row.needed:
        points = [(x - r, y - r), (x + r, y - r), (x - r, y + r), (x + r, y + r), (x - r, y - r)]
        for (x0, y0), (x1, y1) in itertools.pairwise(points):
            paper.line(x0, y0, x1, y1, "caution", 3)
    else:
        paper.ring(x, y, r, "faint")
