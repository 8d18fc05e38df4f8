"""What can be done with a run's record: recording aligned, notes added, reports written, offers taken in."""

import threading
from collections.abc import Callable
from datetime import datetime
from fractions import Fraction
from pathlib import Path

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.archive.values import AlignedHow
from showcaller.calling.finding import incident
from showcaller.calling.wording import plural
from showcaller.desk.areas.drift.driftview import DriftView
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.person import person_here
from showcaller.editing import SetFields
from showcaller.model.clockwords import m_ss_part
from showcaller.review.aligning import Alignment
from showcaller.review.errors import ReviewError
from showcaller.review.exports import FORMATS, Placed, export_run
from showcaller.review.incidents import form_field
from showcaller.review.learned import Offer, lengths_of
from showcaller.review.tape_clock import clock_of
from showcaller.review.tapes import by_its_code
from showcaller.review.timeline import NS, make_timeline
from showcaller.screen.clips import Clip
from showcaller.screen.errors import ClipError


def placed(view: DriftView) -> Placed | None:
    """Where the run lies in its recording, with the file's own timecode if the file is at hand."""
    if not view.report.recordings:
        return None
    recording = view.report.recordings[0]
    try:
        with Clip(recording.path) as clip:
            timecode = clip.facts.timecode
    except ClipError:
        timecode = None
    return Placed(clock_of(recording), recording.path, timecode)


def first_alignment(view: DriftView, path: Path) -> tuple[Alignment, AlignedHow]:
    """What a file says of itself: its timecode, or the code on its sound; else its first frame is the start.

    Raises:
        ClipError: not a video that can be used.
    """
    with Clip(path) as clip:
        facts = clip.facts
    begun = next(m.t_ns for m in view.report.moments if m.kind == "item")
    try:
        return align_by_timecode(view, path, facts.timecode, facts.has_sound), "timecode"
    except (ReviewError, ClipError):
        words = (
            "it has no timecode that fits: the first frame is taken for the start; tap once to put it right"
        )
        return Alignment(begun, words), "by hand"


def align_by_timecode(view: DriftView, path: Path, timecode: str | None, has_sound: bool) -> Alignment:
    """By the file's timecode, or the linear timecode on its sound.

    Raises:
        ReviewError: it carries none, or none that fits.
        ClipError: its sound cannot be read.
    """
    report = view.report
    rate = report.plan.show.timecode_rate
    return by_its_code(path, timecode, has_sound, rate, report.records, report.zone)


def remember(tour: Tour, run: Run, path: Path, found: Alignment, how: AlignedHow) -> None:
    """Keep where a run lies in a file.

    Raises:
        TourError: it cannot be written.
    """
    tour.set_recording(
        run, str(path), found.zero_ns, how,
        drift_ppm=found.drift_ppm, drift_error_ppm=found.drift_error_ppm, by=person_here(),
    )  # fmt: skip


def note(tour: Tour, run: Run, t_ns: int, text: str, of_incident: bool = False) -> str:
    """Write a note at a moment; ``near miss: …`` makes it an incident, ``witness: …`` at one is its
    form's. In words, what was kept.

    Raises:
        TourError: no words, or it cannot be written.
    """
    found = incident(text) if ":" in text else None
    if found is None and of_incident and form_field(text) is not None:
        tour.add_remark(run, t_ns, text, kind="form", by=person_here())
        return "kept in the incident's form; the venue's own report must still be filed"
    if found is None:
        tour.add_remark(run, t_ns, text, by=person_here())
        return "noted"
    kind = next(k for k in ("injury", "near miss", "damage") if k == found[0])
    tour.add_remark(run, t_ns, found[1], kind=kind, by=person_here())  # type: ignore[arg-type]
    return f"{kind} logged; the venue's accident report must still be filed"


def count(tour: Tour, view: DriftView) -> str:
    """Put a run into the tour's charts, or leave it out of them. In words, what holds now.

    Raises:
        TourError: it cannot be written.
    """
    kind, text = (
        ("left out", "left out of the tour's charts")
        if view.counted
        else ("counted", "put into the tour's charts")
    )
    tour.add_remark(view.run, view.report.records[0].t_ns, text, kind=kind, by=person_here())  # type: ignore[arg-type]
    whole = len(lengths_of(make_timeline(view.report.records)))
    if kind == "counted":
        text += f", with {plural(whole, 'item')} that {'was' if whole == 1 else 'were'} played whole"
    return f"{text}; the same key takes that back"


def take_in(store: DocumentStore, offer: Offer) -> str:
    """Take an offer into the book; in words, what changed.

    Raises:
        ChangeError: the book no longer has that place, or may not be changed.
    """
    store.do_document(offer.words.rstrip("."), SetFields(at=offer.at, fields=dict(offer.fields)))
    return f"applied to the book: {offer.words}"


def mark_day(tour: Tour, view: DriftView, text: str) -> str:
    """``doors began 18:02`` or ``get-out ended``; in words, what was put down.

    Raises:
        TourError: not something of the day, or it cannot be written.
        ValueError: not understood; one sentence.
    """
    words = text.split()
    wall_ns: int | None = None
    if words and ":" in words[-1]:
        wall_ns = _wall_ns(view, words.pop())
    if not words or words[-1].lower() not in ("began", "ended"):
        raise ValueError("type what, then began or ended, and the time if it was not now: doors began 18:02")
    what = words.pop().lower()
    name = " ".join(words).lower()
    found = [d for d in view.report.day if d.name.lower().startswith(name)] if name else []
    if not found:
        have = ", ".join(d.name for d in view.report.day) or "nothing yet; fill in the day sheet in the Book"
        raise ValueError(f"no schedule entry is named '{name}'; the day sheet has {have}")
    done = tour.mark_day(
        view.report.date,
        found[0].id,
        "began" if what == "began" else "ended",
        by=person_here(),
        wall_ns=wall_ns,
        zone=view.report.zone,
    )
    return f"{found[0].name} {what}" + (f"; {done.words}" if done.words else "")


def _wall_ns(view: DriftView, text: str) -> int:
    try:
        at = datetime.fromisoformat(f"{view.report.date}T{text.zfill(5)}").replace(tzinfo=view.report.zone)
    except ValueError:
        raise ValueError(f"'{text}' is not a time of day; such as 18:02") from None
    wall = int(at.timestamp()) * NS
    # Before six in the morning belongs to the evening before.
    return wall + (24 * 3600 * NS if at.hour < 6 else 0)


class Exporting:
    """A report being written: ``stop`` ends it at its next step, and leaves nothing."""

    def __init__(self, view: DriftView, name: str, path: Path) -> None:
        self.view = view
        self.name = name
        self.path = path
        self._stop = threading.Event()

    def stop(self) -> None:
        """Stop at the next step."""
        self._stop.set()

    def run(self, told: Callable[[str, int, int], None]) -> Path:
        """Write it."""
        export_run(
            self.view.report, self.view.tour, self.name, self.path, placed=placed(self.view), progress=told,
            stopped=self._stop.is_set,
        )  # fmt: skip
        return self.path


def read_export(view: DriftView, folder: Path, text: str) -> tuple[str, Path]:
    """``pdf`` or ``pdf reports/tonight.pdf``: (format, file).

    Raises:
        ValueError: no such format; one sentence.
    """
    name, _, rest = text.strip().partition(" ")
    name = name.lower()
    if name not in FORMATS:
        raise ValueError(f"a report is {', '.join(FORMATS)}; not '{name}'")
    default = f"{view.report.plan.show.id}-run-{view.run.number}{FORMATS[name].suffix}"
    path = Path(rest.strip()).expanduser() if rest.strip() else Path(default)
    return name, path if path.is_absolute() else folder / path


def frame_words(index: int, at_s: Fraction) -> str:
    """``frame 1,204 · 0:48.160`` of the recording."""
    return f"frame {index:,} · {m_ss_part(float(at_s), 3)}"
