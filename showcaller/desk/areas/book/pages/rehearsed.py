"""Which cues have never been run, and which changed since they were: what a rehearsal still owes the show."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from showcaller.archive import TourError
from showcaller.calling.wording import plural
from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.model import Show
from showcaller.review.rehearsed import CueRun, CueState, rehearsed, summary

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour

_HEADINGS: tuple[tuple[CueState, str], ...] = (
    ("never run", "never run"), ("changed since", "changed since they were run"), ("run", "run as they are")
)  # fmt: skip


class Rehearsed(Page):
    """What is owed comes first; Enter goes to the cue."""

    title = "Rehearsed"
    widths = (0.22, 0.44, 0.34)

    def __init__(
        self,
        tour: "Tour",
        show: Callable[[], Show],
        say: Callable[[str, str], None],
        go: Callable[[str, str], None],
    ) -> None:
        super().__init__()
        self._tour, self._show, self._say, self._go = tour, show, say, go
        self._found: tuple[CueRun, ...] = ()
        self.refresh()
        self.settle()

    def refresh(self) -> None:
        try:
            self._found = rehearsed(self._show(), self._tour.cues_fired(), self._show_of)
        except TourError as error:
            self._say(str(error), "caution")

    def _show_of(self, number: int) -> Show:
        return self._tour.show_of(next(e for e in self._tour.editions() if e.number == number))

    def lead(self) -> str:
        return f"{summary(self._found)}. Shows and rehearsals count, simulated ones do not."

    def hint(self) -> str:
        return "Enter goes to the cue · Escape goes back"

    def _rows(self) -> list[tuple[Line, CueRun | None]]:
        show = self._show()
        items = {item.id: item.name for item in show.items}
        rows: list[tuple[Line, CueRun | None]] = []
        for state, heading in _HEADINGS:
            mine = [one for one in self._found if one.state == state]
            if mine:
                rows.append((Line((f"{heading}: {len(mine)}",), heading=True), None))
            for one in mine:
                name = f"{show.department(one.cue.department).name} {one.cue.number}"
                words = f"{items[one.item]} · {one.cue.label}"
                rows.append((Line((name, words, _when(one)), _TONES[state]), one))
        return rows

    def lines(self) -> tuple[Line, ...]:
        return tuple(line for line, _ in self._rows())

    def enter(self) -> None:
        rows = self._rows()
        one = rows[self.at][1] if self.at < len(rows) else None
        if one is not None:
            self._go(one.item, one.cue.id)


_TONES: dict[CueState, str] = {"never run": "caution", "changed since": "text", "run": "quiet"}


def _when(one: CueRun) -> str:
    if one.last is None:
        return ""
    times = f"{plural(one.times, 'time', 'times')}, last in run {one.last}"
    what = ", ".join(name.removesuffix("_s").replace("_", " ") for name in one.changed)
    return f"{what} otherwise since run {one.last}" if what else times
