"""The pre-show check: one page that says whether tonight's show can run, and what to do where it cannot."""

from collections.abc import Callable
from pathlib import Path

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.desk.background import Background
from showcaller.desk.qt import QObject
from showcaller.model import Show
from showcaller.readiness import Finding, look_over

_SIGNS = {"good": "✓ good", "look": "! look", "wrong": "✗ wrong"}
_RESTS = {"good": "text", "look": "caution", "wrong": "missed"}
_TONES = {"good": "accent", "look": "caution", "wrong": "missed"}


class Check(Page):
    """Everything is looked at in the background; Enter checks again."""

    title = "Is tonight's show ready?"
    widths = (0.1, 0.2, 0.7)

    def __init__(
        self,
        show: Callable[[], Show],
        folder: Path | None,
        runs: Path,
        update: Callable[[], None],
        parent: QObject,
    ) -> None:
        super().__init__()
        self._show = show
        self._folder = folder
        self._runs = runs
        self._work = Background("check", parent)
        self._work.told.connect(self._come)
        self._update = update
        self._found: list[Finding] = []
        self._busy = False
        self.enter()

    def lead(self) -> str:
        if self._busy:
            return "Checking outputs, media, timecode, calls, channels, clearances, clock, this machine …"
        wrong = sum(f.state == "wrong" for f in self._found)
        look = sum(f.state == "look" for f in self._found)
        if wrong:
            return f"Not ready: {wrong} to fix, {look} to check. Each line says what to do."
        return f"Ready; {look} to check." if look else "Ready."

    def hint(self) -> str:
        return "Enter checks again · Escape goes back · not a safety system: people and local codes decide"

    def lines(self) -> tuple[Line, ...]:
        rows: list[Line] = []
        for f in self._found:
            rows.append(Line((_SIGNS[f.state], f.what, f.words), _TONES[f.state], _RESTS[f.state]))
            if f.do:
                rows.append(Line(("", "", f.do), "text", "text"))
        return tuple(rows)

    def enter(self) -> None:
        if self._busy:
            return
        self._busy, self._found = True, []
        show, folder, runs = self._show(), self._folder, self._runs

        def work() -> None:
            for finding in look_over(show, folder, runs):
                self._work.tell(finding)

        self._work.start(work, lambda _: self._over(), self._broken)

    def close(self) -> None:
        self._work.close(wait=False)  # what looks at a network may take seconds

    def _broken(self, error: Exception) -> None:
        self._found.append(
            Finding("the check itself", "wrong", f"it stopped early ({error}).", "Check again.")
        )
        self._over()

    def _over(self) -> None:
        self._busy = False
        self._update()

    def _come(self, finding: object) -> None:
        assert isinstance(finding, Finding)
        self._found.append(finding)
        self._update()
