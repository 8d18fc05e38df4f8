"""Commands on the record: drift, for people and for scripts."""

import json
import sys
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.calling.wording import percent, plural, span
from showcaller.cli.common import app, one_sentence, out, watched
from showcaller.cli.saying import say_run
from showcaller.desk.tour_reading import here
from showcaller.review.errors import ReviewError
from showcaller.review.export import to_csv, to_json
from showcaller.review.exports import FORMATS, Placed, export_run
from showcaller.review.incidents import counts
from showcaller.review.reactions import keyed_words
from showcaller.review.report import RunReport, TourReport, run_report, tour_report
from showcaller.review.slips import counted
from showcaller.review.tape_clock import clock_of
from showcaller.screen.errors import ClipError

_LIST = "; ".join(f"{f.name}: {f.words}" for f in FORMATS.values())


@app.command()
def drift(
    tour: Annotated[
        str, typer.Argument(help="the tour: a file, or postgresql://name@host/tour", show_default=False)
    ],
    number: Annotated[
        int | None, typer.Option("--run", help="number of the show or rehearsal; all if not given")
    ] = None,
    last: Annotated[bool, typer.Option("--last", help="the last one")] = False,
    export: Annotated[
        list[str] | None,
        typer.Option("--export", help=f"write this format; may be given more than once. {_LIST}"),
    ] = None,
    to: Annotated[
        Path | None,
        typer.Option("--to", help="the file, or with several formats the folder", show_default=False),
    ] = None,
    recording: Annotated[
        Path | None,
        typer.Option("--recording", help="the video of it, kept with it", show_default=False),
    ] = None,
    align: Annotated[
        str,
        typer.Option(
            help="how to align it: timecode (the file's, or LTC on its sound), other (by another "
            "recording's sound), or the seconds into the file at which the first item begins"
        ),
    ] = "timecode",
    as_json: Annotated[
        bool, typer.Option("--json", help="everything about one, as JSON, for other software")
    ] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="the cue table of one")] = False,
    whole: Annotated[
        bool,
        typer.Option("--tour-view", help="the tour: incidents, what drifts most, what to apply to the book"),
    ] = False,
) -> None:
    """Say where the time went: a sentence a run, one run in full, or the whole tour; write reports."""
    with one_sentence(), Tour.open(tour) as opened:
        runs = opened.runs()
        if not runs:
            raise ReviewError(f"{opened.where} holds no show or rehearsal yet; open one at the desk first")
        unknown = [name for name in export or () if name not in FORMATS]
        if unknown:
            raise ReviewError(f"there is no format '{unknown[0]}'; there are {', '.join(FORMATS)}")
        if number is None and not (as_json or as_csv or export or last or whole or recording):
            for each in runs:
                say_run(opened, each)
            return
        wanted = [r for r in runs if r.number == (number or runs[-1].number)]
        if not wanted:
            have = ", ".join(str(r.number) for r in runs[-8:])
            raise ReviewError(f"nothing numbered {number} in {Path(opened.where).name}; its last are {have}")
        run = wanted[0]
        if recording is not None:
            _set_recording(opened, run, recording, align)
        if whole:
            _say_tour(tour_report(opened, run, here()), as_json)
        elif export:
            _export(opened, run, export, to)
        elif recording is None:
            _say_one(opened, run, as_json, as_csv)


def _export(tour: Tour, run: Run, names: list[str], to: Path | None) -> None:
    report, across = run_report(tour, run, here()), tour_report(tour, run, here())
    several = len(names) > 1
    folder = to if several and to is not None else Path()
    if several and to is not None:
        folder.mkdir(parents=True, exist_ok=True)
    placed = placed_of(report)
    for name in names:
        path = folder / f"run-{run.number}{FORMATS[name].suffix}" if several or to is None else to
        with watched() as (seen, stopped):
            export_run(report, across, name, path, placed=placed, progress=seen, stopped=stopped)
        out.print(str(path), markup=False)


def _set_recording(tour: Tour, run: Run, path: Path, align: str) -> None:
    # No other command should load what decodes video, or what listens to sound.
    from showcaller.review.aligning import by_tap  # noqa: PLC0415
    from showcaller.review.tapes import by_its_code, by_the_best  # noqa: PLC0415
    from showcaller.screen.clips import Clip  # noqa: PLC0415

    report = run_report(tour, run, here())
    if align == "timecode":
        with Clip(path) as clip:
            facts = clip.facts
        rate = report.plan.show.timecode_rate
        found, how = (
            by_its_code(path, facts.timecode, facts.has_sound, rate, report.records, report.zone),
            "timecode",
        )
    elif align == "other":
        found, how = by_the_best(path.absolute(), report.recordings), "sound"
    else:
        try:
            at_s = Fraction(align)
        except ValueError:
            raise ReviewError(f"--align is timecode, other or a number of seconds, not '{align}'") from None
        found, how = by_tap(next(m.t_ns for m in report.moments if m.kind == "item"), at_s), "by hand"
    tour.set_recording(
        run, str(path.absolute()), found.zero_ns, how,  # type: ignore[arg-type]
        drift_ppm=found.drift_ppm, drift_error_ppm=found.drift_error_ppm,
    )  # fmt: skip
    out.print(f"{path}: {found.words}", markup=False)


def placed_of(report: RunReport) -> Placed | None:
    """Where the run lies in its recording, with the file's own timecode if the file is at hand."""
    from showcaller.screen.clips import Clip  # noqa: PLC0415 - no other command should load what decodes video

    if not report.recordings:
        return None
    recording = report.recordings[0]
    try:
        with Clip(recording.path) as clip:
            timecode = clip.facts.timecode
    except ClipError:
        timecode = None
    return Placed(clock_of(recording), recording.path, timecode)


def _say_one(tour: Tour, run: Run, as_json: bool, as_csv: bool) -> None:
    report = run_report(tour, run, here())
    if as_json:
        sys.stdout.write(to_json(report.fall, report.items, report.cues, report.departments) + "\n")
        return
    if as_csv:
        sys.stdout.write(to_csv(report.cues))
        return
    say_run(tour, run)
    if report.incidents:
        out.print(f"  {_incidents(report.incidents)}", markup=False)
        for one in report.incidents:
            out.print(f"    {one.kind}: {one.words}", markup=False)
    for score in report.scores:
        out.print(
            f"  {score.caller}: {score.goes} goes, {percent(score.near)} within half a second, "
            f"median {score.median_error_s:+.2f} s, worst {score.worst_s:+.2f} s",
            markup=False,
        )
    for bar in report.fall.bars():
        out.print(f"  {bar.label:<16} {bar.ns / 1e9:+9.1f} s", markup=False)
    out.print(f"  {'total':<16} {report.fall.total_ns / 1e9:+9.1f} s", markup=False)
    for row in report.items:
        over = "" if row.over_s is None else f"{row.over_s:+8.1f} s"
        out.print(f"  {row.name:<44.44} {row.status:<12} {over}", markup=False)
    for walk in report.walks:
        for leg in walk.legs:
            if leg.actual_s is not None:
                out.print(
                    f"  {walk.name}: {leg.name} {leg.actual_s:.1f} s, planned {leg.planned_s:.1f} s",
                    markup=False,
                )
    for r in report.reactions:
        answer = keyed_words(r)
        silent = f", {r.silent} of {r.asked} standbys not acknowledged" if r.silent else ""
        out.print(f"  {r.department:<16} {answer}{silent}", markup=False)
    if report.slips:
        words = ", ".join(f"{n} {kind}" for kind, n in counted(report.slips).items())
        out.print(f"  errors: {words}", markup=False)
    if report.timecode is not None:
        out.print(
            f"  timecode good {percent(report.timecode.share)}, lost {report.timecode.losses} times",
            markup=False,
        )
    for thing in report.notable:
        out.print(f"  {span(thing.t_s):>8}  {thing.words}", markup=False)


def _incidents(found: object) -> str:
    numbers = counts(found)  # type: ignore[arg-type]
    return f"incidents: {', '.join(f'{n} {kind}' for kind, n in numbers.items())}"


def _say_tour(report: TourReport, as_json: bool) -> None:
    if as_json:
        body = {
            "format": "showcaller/tour-review",
            "version": 1,
            "incidents": [
                {"run": i.run, "kind": i.kind, "words": i.words, "by": i.by} for i in report.incidents
            ],
            "drifters": [
                {"item": d.item, "name": d.name, "runs": d.runs, "mean_over_s": d.mean_over_s, "sd_s": d.sd_s}
                for d in report.drifters
            ],
            "offers": [{"words": o.words, "detail": o.detail} for o in report.offers],
            "charts": {
                item: {
                    "centre": t.centre, "upper": t.upper, "lower": t.lower,
                    "points": [[p.run, p.edition, p.value] for p in t.points],
                    "signals": [[t.points[s.point].run, s.rule] for s in t.signals],
                }
                for item, t in report.trends.items()
            },
        }  # fmt: skip
        sys.stdout.write(json.dumps(body, ensure_ascii=False, indent=1) + "\n")
        return
    out.print(
        f"Incidents of the tour: {_incidents(report.incidents).removeprefix('incidents: ')}", markup=False
    )
    for one in report.incidents:
        out.print(f"  run {one.run}, {one.kind}: {one.words}", markup=False)
    for day in report.work:
        for name, planned_s, took_s in day.work:
            took = "not logged" if took_s is None else span(took_s)
            plan = "" if planned_s is None else f", planned {span(planned_s)}"
            hurt = f"; incidents that day: {len(day.incidents)}" if day.incidents else ""
            date = datetime.fromisoformat(day.day).strftime("%d %b %Y")
            out.print(f"  {date}  {name} {took}{plan}{hurt}", markup=False)
    out.print("What drifts most, over plan on average:", markup=False)
    for d in report.drifters[:12]:
        sd = "" if d.sd_s is None else f" ± {d.sd_s:.1f}"
        shows = plural(d.runs, "show")
        out.print(f"  {d.name:<44.44} {d.mean_over_s:+8.1f}{sd} s over {shows}", markup=False)
    for offer in report.offers:
        out.print(f"  {offer.words} {offer.detail}", markup=False)
