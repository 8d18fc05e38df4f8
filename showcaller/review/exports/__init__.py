"""A run's report in every format: what it is called, how its file ends, and who writes it."""

import shutil
from collections.abc import Callable, Mapping
from pathlib import Path

from showcaller.review.errors import ExportStopped
from showcaller.review.exports.progress import Progress, Steps, Stopped
from showcaller.review.exports.sheets import Sheet, run_sheets, tour_sheets
from showcaller.review.report import RunReport, TourReport
from showcaller.review.tape_clock import TapeClock
from showcaller.values import Struct

__all__ = ["FORMATS", "ExportStopped", "Format", "Placed", "Progress", "Stopped", "export_run"]


class Placed(Struct, frozen=True):
    """Where a run lies in its recording: the recorder's clock, the file, its own timecode."""

    clock: TapeClock
    path: str
    timecode: str | None = None


class _Job(Struct, frozen=True):
    report: RunReport
    tour: TourReport
    sheets: tuple[Sheet, ...]
    placed: Placed | None
    path: Path
    steps: Steps

    @property
    def clock(self) -> TapeClock | None:
        return None if self.placed is None else self.placed.clock


class Format(Struct, frozen=True):
    """One: its name on the command line, how the file ends, what it is, in words."""

    name: str
    suffix: str
    words: str
    write: Callable[[_Job], None]


def export_run(
    report: RunReport,
    tour: TourReport,
    name: str,
    path: Path,
    *,
    placed: Placed | None = None,
    progress: Progress = lambda _what, _done, _of: None,
    stopped: Stopped = lambda: False,
) -> None:
    """Write a report. The file is whole or not there: it gets its name once it is written.

    Args:
        name: a key of :data:`FORMATS`.
        path: the file, or for CSV the folder; what stood there is replaced, a folder is not.
        placed: the recording, for what is counted from its first frame.

    Raises:
        ExportStopped: ``stopped`` said so; nothing was left behind.
        OSError: it cannot be written there.
    """
    sheets = (*run_sheets(report), *tour_sheets(tour))
    half = path.with_name(f".{path.name}.part")
    job = _Job(report, tour, sheets, placed, half, Steps(len(sheets) + 3, progress, stopped))
    _remove(half)
    try:
        FORMATS[name].write(job)
        if path.is_dir():
            raise FileExistsError(17, "is there already; name a new folder", str(path))
        half.replace(path)
    finally:
        _remove(half)


def _remove(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
    else:
        path.unlink(missing_ok=True)


# The libraries behind a format are brought in when it is asked for: none of them is quick to load.


def _paper(job: _Job) -> None:
    from showcaller.review.exports.paper import write_paper  # noqa: PLC0415

    write_paper(job.report, job.tour, job.sheets, job.path, job.steps)


def _mail(job: _Job) -> None:
    from showcaller.review.exports.mail import write_mail  # noqa: PLC0415
    from showcaller.review.exports.paper import write_paper  # noqa: PLC0415

    paper = job.path.with_name(f"{job.path.name}.pdf")
    try:
        write_paper(job.report, job.tour, job.sheets, paper, job.steps)
        write_mail(job.report, job.tour, paper, job.path)
    finally:
        paper.unlink(missing_ok=True)


def _forms(job: _Job) -> None:
    from showcaller.review.exports.incident_forms import write_forms  # noqa: PLC0415

    write_forms(job.report, job.path, job.steps)


def _page(job: _Job) -> None:
    from showcaller.review.exports.page import write_page  # noqa: PLC0415

    write_page(job.report, job.tour, job.sheets, job.path, job.steps)


def _workbook(job: _Job) -> None:
    from showcaller.review.exports.book import write_workbook  # noqa: PLC0415

    write_workbook(job.report.title, job.report.sentence, job.sheets, job.path, job.steps)


def _csv(job: _Job) -> None:
    from showcaller.review.exports.book import write_csv  # noqa: PLC0415

    write_csv(job.sheets, job.path, job.steps)


def _json(job: _Job) -> None:
    from showcaller.review.export import to_json  # noqa: PLC0415

    r = job.report
    job.path.write_text(to_json(r.fall, r.items, r.cues, r.departments), encoding="utf-8")


def _chapters(job: _Job) -> None:
    from showcaller.review.exports.chapters import chapters  # noqa: PLC0415

    job.path.write_text(chapters(job.report, job.clock), encoding="utf-8")


def _cue_track(job: _Job) -> None:
    from showcaller.review.exports.chapters import cue_track  # noqa: PLC0415

    job.path.write_text(cue_track(job.report, job.clock), encoding="utf-8")


def _otio(job: _Job) -> None:
    from showcaller.review.exports.markers import otio_text, timeline  # noqa: PLC0415

    job.path.write_text(otio_text(timeline(job.report, *_where(job.placed))), encoding="utf-8")


def _edl(job: _Job) -> None:
    from showcaller.review.exports.markers import edl_text, timeline  # noqa: PLC0415

    job.path.write_text(edl_text(timeline(job.report, *_where(job.placed))), encoding="utf-8")


def _where(placed: Placed | None) -> tuple[TapeClock | None, str | None, str | None]:
    return (None, None, None) if placed is None else (placed.clock, placed.path, placed.timecode)


FORMATS: Mapping[str, Format] = {
    f.name: f
    for f in (
        Format("pdf", ".pdf", "show report on paper", _paper),
        Format("forms", "-incidents.pdf", "incident forms, for those who may read them", _forms),
        Format("eml", ".eml", "mail draft with the report", _mail),
        Format("html", ".html", "web page, complete in one file", _page),
        Format("xlsx", ".xlsx", "spreadsheet, a sheet for every table", _workbook),
        Format("csv", "-csv", "folder of CSV files", _csv),
        Format("json", ".json", "JSON, for other software", _json),
        Format("vtt", ".chapters.vtt", "WebVTT chapters of the recording", _chapters),
        Format("cues", ".cues.vtt", "WebVTT track of cues, notes and faults", _cue_track),
        Format("otio", ".otio", "OpenTimelineIO markers", _otio),
        Format("edl", ".edl", "CMX 3600 edit list with markers", _edl),
    )
}
