"""The day: what is planned when and with whom, and when it really began and ended."""

import time
from collections.abc import Callable
from datetime import datetime, tzinfo
from typing import TYPE_CHECKING

from showcaller.archive import TourError
from showcaller.calling.wording import drift, plural
from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.changes import Change, ChangeError, Move, Put, SetFields, Take
from showcaller.editing.day import dock_clashes, place_of_new, trucks
from showcaller.editing.forms.of_day import HINT, day_text, parse_day
from showcaller.model import DayItem, Show
from showcaller.review.day import DayRow, day_table, day_tonight, doors_words
from showcaller.timing.planned_start import zone_of

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour

_DOORS = {"began": "open", "ended": "closed"}
"""What a truck's doors are, by what is marked."""
HURRIED_S = 5
"""A second press within so many seconds of the first is the same one."""
Typed = Callable[[str], str | None]


class Day(Page):
    """One line a thing: typed, added, taken out, or marked as begun or ended now."""

    title = "Day sheet"
    widths = (0.14, 0.3, 0.3, 0.26)

    def __init__(
        self,
        tour: "Tour",
        show: Callable[[], Show],
        do: Callable[[str, Change], bool],
        type_line: Callable[[str, str, Typed], None],
        say: Callable[[str, str], None],
        who: str,
    ) -> None:
        super().__init__()
        self._tour = tour
        self._show = show
        self._do = do
        self._type = type_line
        self._say = say
        self._who = who
        self._rows: tuple[DayRow, ...] = ()
        self._read()

    def _read(self) -> None:
        show, day = self._show(), self._today()
        try:
            self._rows = day_table(show, day, self._tour.day_marks(day), zone_of(show))
        except TourError as error:
            self._say(str(error), "caution")

    def _today(self) -> str:
        return day_tonight(self._show(), time.time_ns())

    def lead(self) -> str:
        show = self._show()
        crew = sum(item.crew for item in show.day)
        loaded = trucks(show)
        many = len(loaded) or max((item.trucks for item in show.day), default=0)
        said = f"{self._today()}, {show.venue}: {crew} calls for crew, {plural(many, 'truck')}."
        clashes = dock_clashes(show)
        if clashes:
            return f"{said} {clashes[0]}."
        return said + doors_words(self._rows) if loaded else said

    def hint(self) -> str:
        add, remove, now, back = (
            self.keys[f"book.{name}"] for name in ("new_cue", "remove", "send", "unmark")
        )
        return (
            f"Enter: type · {add}: add · {remove}: remove · {now}: it begins now, or ends · "
            f"{back}: not so, take that back"
        )

    def lines(self) -> tuple[Line, ...]:
        by_id = {row.id: row for row in self._rows}
        names = {d.id: d.name for d in self._show().departments}
        found = []
        for item in self._show().day:
            ends = f"–{item.ends_at}" if item.ends_at else ""
            whom = (
                f"dock {item.dock}" if item.dock else "",
                f"crew {item.crew}" if item.crew else "",
                plural(item.trucks, "truck") if item.trucks else "",
                ", ".join(names[d] for d in item.departments),
            )
            people = ", ".join(w for w in whom if w)
            said = item.kind == "other" or item.name.lower().startswith(item.kind)
            name = item.name if said else f"{item.kind}: {item.name}"
            went = _went(by_id.get(item.id), zone_of(self._show()))
            told = " · ".join(w for w in (went, item.carries or item.notes) if w)
            found.append(Line((f"{item.starts_at}{ends}", name, people, told)))
        return tuple(found) or (
            Line((f"nothing yet. {self.keys['book.new_cue']}, then for example: {HINT}",), "quiet"),
        )

    def _item(self) -> DayItem | None:
        day = self._show().day
        return day[self.at] if self.at < len(day) else None

    def enter(self) -> None:
        item = self._item()
        if item is None:
            self.act("new_cue")
            return
        self._type("a schedule entry", day_text(self._show(), item), lambda text: self._change(item, text))

    def act(self, name: str) -> bool:
        item = self._item()
        if name == "new_cue":
            self._type("one more schedule entry", "", self._add)
        elif name == "remove" and item is not None:
            self._do(f"removed {item.name} from the day sheet", Take(at=("day",), key=item.id))
        elif name in ("up", "down") and item is not None:
            self._move(item, -1 if name == "up" else 1)
        elif name == "send" and item is not None:
            self._mark(item)
        elif name == "unmark" and item is not None:
            self._unmark(item)
        else:
            return False
        self._read()
        return True

    def _move(self, item: DayItem, by: int) -> None:
        to = max(0, min(len(self._show().day) - 1, self.at + by))
        if self._do(f"moved {item.name}", Move(at=("day",), key=item.id, index=to)):
            self.at = to

    def _add(self, text: str) -> str | None:
        try:
            part = parse_day(self._show(), text)
        except ChangeError as error:
            return str(error)
        index = place_of_new(self._show(), part["starts_at"])
        if not self._do(f"{part['name']} on the day sheet", Put(at=("day",), index=index, part=part)):
            return f"that cannot be read; give {HINT}"
        self.at = index
        self._read()
        return None

    def _change(self, item: DayItem, text: str) -> str | None:
        try:
            part = parse_day(self._show(), text, item)
        except ChangeError as error:
            return str(error)
        usual: dict[str, object] = {
            "ends_at": None, "crew": 0, "trucks": 0, "dock": "", "carries": "", "departments": [],
            "notes": "",
        }  # fmt: skip
        if not self._do(f"changed {item.name}", SetFields(at=("day", item.id), fields=usual | part)):
            return f"that cannot be read; give {HINT}"
        self._read()
        return None

    def _not_again(self, item: DayItem, row: DayRow) -> str:
        """Why a press marks nothing: a hurried hand's second one, or all is marked; empty if it marks."""
        if row.began_ns is None:
            return ""
        ago_s = (time.time_ns() - row.began_ns) / 1e9
        if row.ended_ns is None and _has_end(item) and 0 <= ago_s < HURRIED_S:
            return f"{item.name} began {ago_s:.0f} s ago: it ends by a press after {HURRIED_S} s"
        if row.ended_ns is None and _has_end(item):
            return ""
        last = row.ended_ns if row.ended_ns is not None else row.began_ns
        at = datetime.fromtimestamp(last / 1e9, zone_of(self._show())).strftime("%H:%M")
        return f"{item.name} is logged already, at {at}; another time is typed in Drift's day sheet"

    def _mark(self, item: DayItem) -> None:
        row = next((r for r in self._rows if r.id == item.id), None)
        what = "ended" if row is not None and row.began_ns is not None and _has_end(item) else "began"
        if row is not None and (no := self._not_again(item, row)):
            self._say(no, "caution")
            return
        try:
            marked = self._tour.mark_day(
                self._today(),
                item.id,
                "ended" if what == "ended" else "began",
                by=self._who,
                wall_ns=time.time_ns(),
                zone=zone_of(self._show()),
            )
        except TourError as error:
            self._say(str(error), "caution")
            return
        said = f"{item.name}: doors {_DOORS[what]} now" if item.kind == "truck" else f"{item.name} {what} now"
        self._say(getattr(marked, "words", "") or said, "quiet")

    def _unmark(self, item: DayItem) -> None:
        """The last press taken back: it was the wrong line, or too early. Both are kept."""
        row = next((r for r in self._rows if r.id == item.id), None)
        if row is None or row.began_ns is None:
            self._say(f"nothing is logged for {item.name}, so there is nothing to take back", "caution")
            return
        what = "began" if row.ended_ns is None else "ended"
        try:
            self._tour.mark_day(
                self._today(), item.id, "unbegun" if what == "began" else "unended", by=self._who
            )
        except TourError as error:
            self._say(str(error), "caution")
            return
        door = f"doors {_DOORS[what]}" if item.kind == "truck" else what
        self._say(f"taken back: {item.name} {door}", "quiet")


def _has_end(item: DayItem) -> bool:
    """A truck's door closes, also where nobody planned when."""
    return item.ends_at is not None or item.kind == "truck"


def _went(row: DayRow | None, zone: tzinfo) -> str:
    if row is None or row.began_ns is None:
        return ""
    began = datetime.fromtimestamp(row.began_ns / 1e9, zone).strftime("%H:%M")
    opened, closed = (_DOORS["began"], _DOORS["ended"]) if row.kind == "truck" else ("began", "ended")
    words = f"{opened} {began}" + (f" ({drift(row.late_s)})" if row.late_s is not None else "")
    if row.ended_ns is not None:
        words += f", {closed} {datetime.fromtimestamp(row.ended_ns / 1e9, zone):%H:%M}"
    return words
