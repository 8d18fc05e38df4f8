"""People: when they are called, who is there, whose break is due; and one switch for who stands in."""

import time
from collections.abc import Callable
from datetime import datetime, tzinfo
from typing import TYPE_CHECKING, Literal

from showcaller.archive import TourError
from showcaller.calling.wording import drift
from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.changes import Change, ChangeError, Move, Put, SetFields, Take
from showcaller.editing.forms.of_people import (
    BREAKS_HINT,
    HINT,
    breaks_text,
    parse_breaks,
    parse_person,
    person_text,
)
from showcaller.editing.standing_in import stand_in
from showcaller.model import CrewMember, Show
from showcaller.review.crew_day import MemberRow, break_mark, crew_table, head_count, in_mark
from showcaller.review.day import day_tonight
from showcaller.review.timeline import NS
from showcaller.timing.planned_start import zone_of

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour

Typed = Callable[[str], str | None]
_USUAL: dict[str, object] = {"called_at": None, "reached": None, "stand_in": None, "instead": False}


class People(Page):
    """A line for everybody; the last two add one, and have the local rule on breaks."""

    title = "People"
    widths = (0.24, 0.24, 0.2, 0.32)

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
        self._tour, self._show, self._do, self._type = tour, show, do, type_line
        self._say, self._who = say, who

    def _rows(self) -> tuple[MemberRow, ...]:
        show = self._show()
        try:
            return crew_table(
                show, self._day(), self._tour.day_marks(self._day()), zone_of(show), time.time_ns()
            )
        except TourError as error:
            self._say(str(error), "caution")
            return ()

    def _day(self) -> str:
        return day_tonight(self._show(), time.time_ns())

    def lead(self) -> str:
        rows = self._rows()
        return f"{self._day()}, {self._show().venue}: {head_count(rows) if rows else 'nobody is typed yet'}."

    def hint(self) -> str:
        mark, out, swap = (self.keys[f"book.{name}"] for name in ("send", "out", "renumber"))
        return f"Enter: type · {mark}: in, on a break, back · {out}: gone · {swap}: stand-in or not"

    def lines(self) -> tuple[Line, ...]:
        zone = zone_of(self._show())
        found = [_line(row, zone) for row in self._rows()]
        rule = breaks_text(self._show().breaks)
        words = f"the local rule on breaks: {rule}" if rule else f"the local rule on breaks: {BREAKS_HINT}"
        return (*found, Line((f"one more: {HINT}",), "quiet"), Line((words,), "text" if rule else "quiet"))

    def _member(self) -> CrewMember | None:
        people = self._show().people
        return people[self.at] if self.at < len(people) else None

    def enter(self) -> None:
        show, member = self._show(), self._member()
        if member is None and self.at == len(show.people) + 1:
            self._type(f"a break: {BREAKS_HINT}", breaks_text(show.breaks), self._rule)
        else:
            typed = "" if member is None else person_text(member)
            self._type(f"somebody: {HINT}", typed, lambda text: self._take(member, text))

    def _rule(self, text: str) -> str | None:
        try:
            rule = parse_breaks(text)
        except ChangeError as error:
            return str(error)
        return (
            None if self._do("the rule on breaks", SetFields(at=(), fields={"breaks": rule})) else BREAKS_HINT
        )

    def _take(self, member: CrewMember | None, text: str) -> str | None:
        try:
            part = parse_person(self._show(), text, member)
        except ChangeError as error:
            return str(error)
        change: Change = Put(at=("people",), index=len(self._show().people), part=part)
        if member is not None:
            change = SetFields(at=("people", member.id), fields={**_USUAL, **part})
        return None if self._do(str(part["name"]), change) else f"that cannot be taken; give {HINT}"

    def act(self, name: str) -> bool:
        member = self._member()
        if name == "new_cue":
            self.at = len(self._show().people)
            self.enter()
        elif member is None or name not in ("remove", "up", "down", "send", "out", "renumber"):
            return False
        elif name == "remove":
            self._do(f"removed {member.name}", Take(at=("people",), key=member.id))
        elif name in ("up", "down"):
            to = max(0, min(len(self._show().people) - 1, self.at + (1 if name == "down" else -1)))
            if self._do(f"moved {member.name}", Move(at=("people",), key=member.id, index=to)):
                self.at = to
        elif name == "renumber":
            self._switch(member)
        else:
            self._mark(member, gone=name == "out")
        return True

    def _switch(self, member: CrewMember) -> None:
        try:
            change = stand_in(self._show(), member.id)
        except ChangeError as error:
            self._say(str(error), "caution")
            return
        acting = member.name if member.instead else member.stand_in
        if self._do(f"{acting} as {member.position}", change):
            self._say(f"{acting} is {member.position} tonight, wherever the name stood", "quiet")

    def _mark(self, member: CrewMember, gone: bool) -> None:
        row = next((r for r in self._rows() if r.member.id == member.id), None)
        if row is None:
            return
        item, what, said = _next_mark(member, row.state, gone)
        try:
            self._tour.mark_day(self._day(), item, what, by=self._who, wall_ns=time.time_ns())
        except TourError as error:
            self._say(str(error), "caution")
            return
        self._say(f"{member.acting}: {said} now", "quiet")


def _next_mark(member: CrewMember, state: str, gone: bool) -> tuple[str, Literal["began", "ended"], str]:
    if gone:
        return in_mark(member.id), "ended", "gone"
    if state in ("to come", "gone"):
        return in_mark(member.id), "began", "in"
    if state == "on a break":
        return break_mark(member.id), "ended", "back"
    return break_mark(member.id), "began", "on a break"


def _line(row: MemberRow, zone: tzinfo) -> Line:
    member = row.member
    name = member.acting + (f" for {member.name}" if member.instead else "")
    called = "" if row.called_ns is None else f"called {_clock(row.called_ns, zone)}"
    came = "" if row.in_ns is None else f" {_clock(row.in_ns, zone)}"
    went = f", gone {_clock(row.out_ns, zone)}" if row.out_ns is not None else ""
    words = f"in{came}{went}" if row.in_ns is not None else "to come"
    if row.state == "on a break":
        words += ", on a break"
    if row.late_s is not None and row.late_s >= 60:
        words += f" ({drift(row.late_s)})"
    if row.break_due_ns is not None:
        words += f" · BREAK {'OVERDUE since' if row.breach else 'due by'} {_clock(row.break_due_ns, zone)}"
    late = row.state == "to come" and (row.late_s or 0) > 0
    tone = "missed" if row.breach else "caution" if late or row.break_due_ns is not None else "text"
    return Line((name, member.position, called, words), tone, "quiet" if tone == "text" else tone)


def _clock(at_ns: int, zone: tzinfo) -> str:
    return datetime.fromtimestamp(at_ns / NS, zone).strftime("%H:%M")
