"""A stage manager's week by real keys in a real window: a production's sheet to a report in the post.

Nothing is typed into an editor. About a minute: ``python3 run.py test tests/long -m long -n 0 -k week``.
"""

import csv
import email
import os
import subprocess
import sys
import time
from email.policy import default
from pathlib import Path
from typing import Any

import icalendar
import openpyxl
import pytest
from devices import end_engines, program, wait_until
from robot import Keyboard

from showcaller.desk.areas.book.pages.giving_out import GivingOut
from showcaller.desk.areas.book.pages.page import Page
from showcaller.desk.areas.book.pages.setup import SetUp
from showcaller.desk.areas.book.pages.venues import Venues
from showcaller.engine.journal import JournalError
from showcaller.engine.launch import engine_lives, open_runs
from showcaller.engine.runfile import RunFileError, read_run
from showcaller.model import Show, read_show
from showcaller.run import events as ev

pytestmark = [pytest.mark.long, pytest.mark.system, pytest.mark.timeout(400)]

ROWS = [
    ("Item", "Kind", "Length", "Notes"),
    ("Low Water", "song", "0:50", "starts in the dark"),
    ("Walk to the Buoy", "walk-on", "2:40", ""),
    ("Lantern", "song", "1:10", ""),
    ("Thanks", "talk", "0:30", ""),
]


class Week:
    """Somebody at the desk who reads the page and goes to the line they want."""

    def __init__(self, folder: Path, env: dict[str, str]) -> None:
        self.person = Keyboard(env)
        self.path = folder / "tideline.json"
        self.runs = folder / "tideline.runs"
        self.log = folder / "desk.log"
        with self.log.open("ab") as out:
            self.desk = subprocess.Popen(
                [sys.executable, "-m", "showcaller", "desk", str(self.path)], env=env, stdout=out, stderr=out
            )
        self._env, self._shots = env, os.environ.get("WEEK_PICTURES")

    def show(self) -> Show:
        return read_show(self.path)

    def until(self, true: Any, seconds: float = 20) -> None:
        assert wait_until(true, seconds), f"{self.look('stuck')} {self.log.read_text()}"

    def look(self, name: str) -> str:
        """A picture of the screen, where pictures are wanted."""
        if self._shots:
            args = ["-loglevel", "error", "-y", "-f", "x11grab", "-i", self._env["DISPLAY"], "-frames:v", "1"]
            subprocess.run([program("ffmpeg"), *args, f"{self._shots}/{name}.png"], check=False)
        return name

    def line(self, text: str) -> None:
        """Typed into what is open, and Enter."""
        self.person.types(text)
        time.sleep(0.35)

    def go_to(self, page: Page, words: str, at: int = 0) -> int:
        """Down to the line that says this; the page is at ``at``."""
        page.at = at
        page.settle()
        rows = page.lines()
        want = next(n for n, line in enumerate(rows) if words in line.cells[0] and not line.heading)
        steps = sum(1 for n in range(min(page.at, want), max(page.at, want)) if not rows[n].heading)
        for _ in range(steps):
            self.person.press("Down" if want > page.at else "Up")
        return want

    def type_at(self, page: Page, words: str, text: str, at: int = 0) -> int:
        """The line that says this gets another text."""
        self.until(lambda: bool(self.show()))
        where = self.go_to(page, words, at)
        self.person.press("Return")
        time.sleep(0.2)
        self.person.press("ctrl+a")
        self.line(text)
        return where


def told(folder: Path, kind: type[ev.Entry]) -> list[ev.Entry]:
    try:
        records = read_run(folder / "journal").records
    except (JournalError, RunFileError):
        return []
    return [e for r in records for e in r.events if isinstance(e, kind)]


def test_from_a_productions_sheet_to_a_report_in_the_post(tmp_path: Path, screen: dict[str, str]) -> None:
    sheet = tmp_path / "production.csv"
    with sheet.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(ROWS)
    week = Week(tmp_path, screen)
    person = week.person
    try:
        week.until(lambda: person.window("Tideline"), 30)
        the_order_comes_in(week, sheet)
        the_tour_has_two_places(week)
        a_way_is_typed(week)
        an_edition_and_what_changed_since(week)
        paper(week)
        folder = a_muted_night(week)
        the_report_goes_out(week, folder)
    finally:
        week.desk.kill()
        week.desk.wait()
        end_engines(week.runs)


def the_order_comes_in(week: Week, sheet: Path) -> None:
    person = week.person
    person.press("ctrl+1", "ctrl+i")
    week.until(lambda: person.window("Import a file"))
    person.types(str(sheet))
    week.until(lambda: not person.window("Import a file") and person.window("Tideline"))

    def imported() -> bool:
        week.look("import")
        person.press("Return")
        return [i.name for i in week.show().items] == [row[0] for row in ROWS[1:]]

    week.until(imported)
    assert [i.kind for i in week.show().items] == ["song", "walk-on", "song", "talk"]
    assert week.show().items[0].notes == "starts in the dark"
    person.press("Escape")


def a_way_is_typed(week: Week) -> None:
    person = week.person
    person.press("ctrl+u")
    time.sleep(0.4)
    page = SetUp(week.show, lambda *_: True, lambda *_: None)
    at = week.type_at(page, "one more: Path clear", "Lane clear: Crowd safety")
    week.until(lambda: "Lane clear" in [c.name for c in week.show().clearances])
    at = week.type_at(
        page, "one more: Crowd lane", "Crowd lane: Wing stairs 9 m; Tam: leads with the torch", at
    )
    week.until(lambda: bool(week.show().routes))
    at = week.type_at(
        page, "one more leg", "Lane 54 m; needs Lane clear; posted Ada at the gate; radio 4", at
    )
    week.until(lambda: len(week.show().routes[0].legs) == 2)
    week.look("way")
    person.press("Escape")
    # The walk-on takes it, in its own form.
    person.press("Home", "Up", "Up", "Up", "Up", "Down")
    time.sleep(0.3)
    person.press("Return")
    time.sleep(0.3)
    for _ in range(4):  # name, length, shortest, longest, route
        person.press("Tab")
        time.sleep(0.2)
    week.line("Crowd lane")
    week.until(lambda: getattr(week.show().items[1], "route", None) == week.show().routes[0].id)
    week.look("walk-on")


def the_tour_has_two_places(week: Week) -> None:
    person = week.person
    person.press("Escape", "ctrl+shift+v")
    time.sleep(0.4)
    page = Venues(week.show, lambda *_: True, lambda *_: None, lambda *_: None)
    week.type_at(page, "one more venue", "Kestrel Dock Arena: starts 20:45; curfew 23:00; Europe/Berlin")
    week.until(lambda: len(week.show().venues) == 2)  # and the one it was at
    week.type_at(page, "one more venue", "Glasshouse: starts 20:00; curfew 00:30 next day; Europe/Lisbon", 0)
    week.until(lambda: len(week.show().venues) == 3)
    person.press("Escape", "ctrl+shift+v")
    time.sleep(0.4)
    rows = [line.cells[0] for line in page.lines()]
    second = next(n for n, words in enumerate(rows) if words.startswith("Glasshouse"))
    for _ in range(second + 1):
        person.press("Down")
    person.press("Return")
    time.sleep(0.2)
    week.line("2026-12-04")
    week.until(lambda: any(v.nights for v in week.show().venues))
    person.press("Up", "Up", "Up", "Up", "Up", "Up", "Up", "Up", "Up")
    week.go_to(page, "night 2026-12-04")
    person.press("Return")
    week.until(lambda: week.show().curfew == "00:30")
    assert (week.show().date, week.show().time_zone) == ("2026-12-04", "Europe/Lisbon")
    week.look("venue")
    person.press("Escape")


def an_edition_and_what_changed_since(week: Week) -> None:
    person = week.person
    person.press("ctrl+d")
    time.sleep(0.5)
    person.press("ctrl+n")
    week.line("as sold")
    person.press("Escape")
    person.press("Home", "Up", "Up", "Up", "Up", "ctrl+n")
    week.line("lights 0:20 Tide up")
    week.until(lambda: len(week.show().items[0].cues) == 1)
    person.press("Escape", "ctrl+d")
    time.sleep(0.5)
    person.press("Return")
    time.sleep(0.8)
    week.look("note")
    person.press("ctrl+p")
    week.until(lambda: any(week.path.parent.glob("[!.]*.pdf")))
    (note,) = week.path.parent.glob("[!.]*.pdf")
    words = subprocess.run(
        [program("pdftotext"), note, "-"], capture_output=True, text=True, check=True
    ).stdout
    assert "Tide up" in words
    assert "Low Water" in words
    note.rename(week.path.parent / "note.pdf")
    person.press("Escape", "Escape")


def paper(week: Week) -> None:
    person = week.person
    person.press("ctrl+p")
    time.sleep(0.6)
    names = [
        line.cells[0] for line in GivingOut(week.show(), None, "1", week.path.parent, lambda *_: None).lines()
    ]
    for _ in range(len(names)):
        person.press("Return")
        time.sleep(0.25)
        person.press("Down")
    week.look("paper")
    folder = week.path.parent
    week.until(lambda: all((folder / name).exists() for name in names))
    script = subprocess.run(
        [program("pdftotext"), folder / names[0], "-"], capture_output=True, text=True, check=True
    ).stdout
    for words in (
        "Low Water",
        "Walk to the Buoy",
        "Lane · 54 m",
        "Lane clear",
        "Standby Lights 1",
        "curfew 00:30",
    ):
        assert words.replace(" ", "") in script.replace(" ", ""), words
    (calendar,) = folder.glob("*.ics")
    events = {
        str(e["SUMMARY"]): e for e in icalendar.Calendar.from_ical(calendar.read_bytes()).walk("VEVENT")
    }
    curfew = events["Curfew, Glasshouse"]["DTSTART"].dt
    assert curfew.isoformat() == "2026-12-05T00:30:00+00:00"  # past midnight, on Lisbon's clock
    (book,) = folder.glob("*.xlsx")
    assert "Low Water" in {
        c.value for row in openpyxl.load_workbook(book).worksheets[0].iter_rows() for c in row
    }
    person.press("Escape")


def a_muted_night(week: Week) -> Path:
    person = week.person
    person.press("ctrl+3", "r")
    time.sleep(0.4)
    week.line("Ines")
    week.line("MUTE")
    week.line("2 crew 7")
    week.until(lambda: bool(open_runs(week.runs)))
    folder = open_runs(week.runs)[0]
    week.until(lambda: bool(told(folder, ev.RunStarted)))
    person.press("g")
    week.until(lambda: bool(told(folder, ev.ItemStarted)))
    person.press("shift+n")
    week.until(lambda: bool(told(folder, ev.IncidentOpened)))
    person.types("near miss: a case on the wing stairs")
    time.sleep(0.6)
    person.press("Escape")
    week.look("night")
    person.press("Escape")
    for key in ("1", "1"):  # the lane is clear: two presses, apart
        person.press(key)
        time.sleep(0.6)
    week.until(lambda: any(e.ok for e in told(folder, ev.Cleared)))
    for _ in range(60):  # every go when it is due, and their steps on the way
        if len(told(folder, ev.ItemStarted)) == len(ROWS) - 1:
            break
        person.press("s", "g")
        time.sleep(0.7)
        if len(told(folder, ev.WalkStep)) < 3:
            person.press("l")
            time.sleep(0.7)
    assert len(told(folder, ev.ItemStarted)) == len(ROWS) - 1
    assert len(told(folder, ev.WalkStep)) == 3
    assert not told(folder, ev.WalkStopped)
    week.look("last")
    person.press("Escape", "shift+l")
    time.sleep(0.6)
    person.press("shift+l")
    week.until(lambda: bool(told(folder, ev.MomentMarked)))
    person.press("ctrl+e")
    week.line("END")
    week.until(lambda: not engine_lives(folder))
    week.until((folder / "in-the-tour").exists)
    return folder


def the_report_goes_out(week: Week, folder: Path) -> None:
    person = week.person
    assert told(folder, ev.RunEnded)
    person.press("ctrl+4")
    time.sleep(1.5)
    week.look("report")
    person.press("ctrl+p")
    time.sleep(0.3)
    week.line("eml")
    week.until(lambda: any(week.path.parent.glob("*.eml")), 40)
    (path,) = week.path.parent.glob("*.eml")
    mail = email.message_from_bytes(path.read_bytes(), policy=default)
    body = mail.get_body().get_content()
    assert "near miss" in body.lower()
    assert [part.get_content_type() for part in mail.iter_attachments()] == ["application/pdf"]
