"""Everything that can be written out of a show, by file name."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from showcaller.editing.exporting.calendar import day_calendar
from showcaller.editing.exporting.contacts import contact_sheet
from showcaller.editing.exporting.midi import song_midi
from showcaller.editing.exporting.running_sheets import running_sheets
from showcaller.editing.exporting.script import call_script, cue_sheets
from showcaller.editing.exporting.tables import (
    all_sheets,
    cues_sheet,
    lyrics_sheet,
    running_order_sheet,
    write_csv,
    write_ods,
    write_xlsx,
)
from showcaller.editing.exporting.trucks import truck_sheet
from showcaller.editing.naming import slug
from showcaller.editing.timeline import song_timeline
from showcaller.model import Show, Song
from showcaller.model.whole import whole

Write = Callable[[Show, Path], None]


def exports(
    show: Show, song: Song | None, edition: str, before: Show | None = None
) -> dict[str, tuple[str, Write]]:
    """File name → (what it is, what writes it); ``before`` is the show as it was issued last."""
    name = slug(show.name)

    def data(make: Callable[[Show], bytes]) -> Write:
        return lambda s, path: whole(path, lambda where: _put(where, make(s)))

    found: dict[str, tuple[str, Write]] = {
        f"{name}-call-script.pdf": (
            "the call script, for a music stand",
            data(lambda s: call_script(s, edition, now_words(s))),
        ),
        f"{name}-cue-sheets.pdf": (
            "cue sheets, a part for each department",
            data(lambda s: cue_sheets(s, edition, printed=now_words(s))),
        ),
        f"{name}-running-sheets.pdf": (
            "a running sheet for each position, a page each, changes marked",
            data(lambda s: running_sheets(s, edition, now_words(s), before)),
        ),
        f"{name}-contacts.pdf": (
            "whom to call at tonight's venue, medical first, and its rules",
            data(lambda s: contact_sheet(s, edition, now_words(s))),
        ),
        f"{name}-get-out.pdf": (
            "the get-out: every truck with its dock, what goes in, and when",
            data(lambda s: truck_sheet(s, edition, now_words(s))),
        ),
        f"{name}.xlsx": (
            "running order, lyrics and cues; comes back by import",
            lambda s, p: write_xlsx(all_sheets(s), p),
        ),
        f"{name}.ods": (
            "the same as ODS",
            lambda s, p: write_ods(all_sheets(s), p),
        ),
        f"{name}-running-order.csv": (
            "running order as CSV",
            lambda s, p: write_csv(running_order_sheet(s), p),
        ),
        f"{name}-cues.csv": ("cues as CSV", lambda s, p: write_csv(cues_sheet(s), p)),
        f"{name}-lyrics.csv": ("lyrics as CSV", lambda s, p: write_csv(lyrics_sheet(s), p)),
        f"{name}-day.ics": ("the day sheet for calendars", data(_calendar)),
    }
    if song is not None:
        own = slug(song.name)
        found[f"{own}.otio"] = (
            f"{song.name}: sections and cues as a timeline",
            data(lambda s: song_timeline(s, song).encode()),
        )
        if song.tempo:
            found[f"{own}.mid"] = (
                f"{song.name}: tempo and sections as MIDI",
                data(lambda _: song_midi(song)),
            )
    return found


def now_words(show: Show) -> str:
    """When something is printed, in the venue's own time: ``Thu 26 Nov 2026 14:33``."""
    zone = ZoneInfo(show.time_zone) if show.time_zone is not None else None
    return datetime.now(zone).strftime("%a %d %b %Y %H:%M")


def _calendar(show: Show) -> bytes:
    zone = ZoneInfo(show.time_zone) if show.time_zone is not None else None
    # Of the night that the show has; else today, on the venue's own calendar.
    night = date.fromisoformat(show.date) if show.date is not None else datetime.now(zone).date()
    return day_calendar(show, night, zone, datetime.now(UTC))


def _put(path: Path, data: bytes) -> None:
    path.write_bytes(data)
