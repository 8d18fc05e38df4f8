"""The command line: thin; every decision is asked of the rooms. One function a command, all in one place."""

import json
import re
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from showcaller import __version__
from showcaller.archive import Run, Tour, TourError
from showcaller.calling.headless import HeadlessError, run_headless
from showcaller.calling.outlook import item_durations, show_forecast, suggested_cuts
from showcaller.calling.preview import preview_book
from showcaller.calling.sideview import ends
from showcaller.calling.wording import percent, span
from showcaller.demo.receiver import ReceiverError
from showcaller.demo.sample import copy_sample, evening_ns, make_sample_tour
from showcaller.demo.script import script_lines
from showcaller.desk.screens import has_screen
from showcaller.desk.tourfile import fall_of, learned_lengths, open_tour, paths_for, plan_of, take_in_journals
from showcaller.engine.client import NoEngine
from showcaller.engine.launch import LaunchError
from showcaller.model import DocumentError, Show, read_show
from showcaller.review import (
    ReviewError,
    cue_table,
    department_stats,
    item_table,
    notable,
    planned_start_wall_ns,
    scores,
    summary_sentence,
    to_csv,
    to_json,
    walks,
)
from showcaller.timing.calls import compile_show_calls
from showcaller.timing.plan import compile_plan
from showcaller.timing.wind import CAUTION, FLAT_DRAG, SAFETY, SetPiece, estimate_m_s

app = typer.Typer(
    help="Plan, rehearse, call, fire and review a live show. Start with: showcaller demo",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)
out = Console(soft_wrap=True, highlight=False)
err = Console(stderr=True, soft_wrap=True, highlight=False)

ShowPath = Annotated[Path, typer.Argument(help="the show document (.json)", show_default=False)]
TourOption = Annotated[
    Path | None,
    typer.Option("--tour", help="the tour file; beside the show if not given", show_default=False),
]


@contextmanager
def one_sentence() -> Iterator[None]:
    """What goes wrong is one clear sentence on standard error, and exit status 2."""
    try:
        yield
    except DocumentError as error:
        for problem in error.problems:
            err.print(problem)
        raise typer.Exit(2) from None
    except (TourError, ReviewError, LaunchError, NoEngine, HeadlessError, ReceiverError) as error:
        err.print(str(error))
        raise typer.Exit(2) from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        err.print(f"{error.filename or 'a file'}: {reason}; choose another folder")
        raise typer.Exit(2) from None


@app.command()
def desk(show: ShowPath, tour: TourOption = None) -> None:
    """Open the desk on a show: plan, call it live, see afterwards where the time went."""
    with one_sentence():
        raise typer.Exit(_desk(show, tour))


def _desk(show_path: Path, tour_path: Path | None) -> int:
    show = read_show(show_path)
    if not has_screen():
        err.print("There is no screen here. 'showcaller run' and 'showcaller demo' work without one.")
        return 2
    from showcaller.desk.app import run_desk  # noqa: PLC0415 - Qt is loaded only where there is a screen

    paths = paths_for(show_path, tour_path)
    opened = open_tour(paths.tour, show.name)
    _, wrong = take_in_journals(opened, paths.runs)
    for line in wrong:
        err.print(line)
    return run_desk(show, opened, paths.runs)


@app.command()
def demo(
    folder: Annotated[Path, typer.Option(help="where the demo's files go")] = Path("demo-output"),
    speed: Annotated[float, typer.Option(help="how much faster than life, without a screen", min=1)] = 200.0,
    headless: Annotated[bool, typer.Option("--headless", help="as if there were no screen")] = False,
    seed: Annotated[int, typer.Option(help="of the simulated caller")] = 14,
) -> None:
    """Show what showcaller does, on its sample tour.

    With a screen the desk opens. Without one the whole sample show runs on a fast clock, through the real
    engine and real sockets, and pictures, the call script and the review are written to a folder.
    """
    with one_sentence():
        if has_screen() and not headless:
            path = copy_sample(folder)
            paths = paths_for(path)
            if not paths.tour.exists():
                make_sample_tour(path, paths.tour)
            raise typer.Exit(_desk(path, None))
        from showcaller.demo.headless import run_demo  # noqa: PLC0415 - brings Qt's picture making

        out.print(
            f"No screen: running the sample show at {speed:g}×, outlets live to receivers on this machine."
        )
        with _progress() as bar:
            task = bar.add_task("", total=1.0)
            run_demo(
                folder,
                speed,
                seed,
                bar.console.print,
                lambda name, share: bar.update(task, completed=share, description=name),
            )
            bar.update(task, completed=1.0, description="done")
        out.print("Look at:")
        for name in (
            "pictures",
            "call-script.txt",
            "review-items.csv",
            "review-cues.csv",
            "review.json",
            "received.txt",
        ):
            out.print(f"  {(folder / name).resolve()}")


def _progress() -> Progress:
    return Progress(
        TextColumn("{task.description:<34.34}"), BarColumn(), TimeElapsedColumn(), console=err, transient=True
    )


@app.command()
def check(show: ShowPath) -> None:
    """List what is wrong with a show, one problem a line; exit status 1 if there is any."""
    with one_sentence():
        plan = compile_plan(read_show(show))
    lines = [str(problem) for problem in plan.problems]
    for planned, sheet in zip(plan.items, compile_show_calls(plan), strict=True):
        lines += [f"{planned.item.name}: {c.sentence}" for c in sheet.collisions]
    for line in lines:
        out.print(line, markup=False)
    if lines:
        raise typer.Exit(1)
    err.print(
        f"{plan.show.name}: {len(plan.items)} items, {sum(len(i.cues) for i in plan.items)} cues, no problem."
    )


@app.command()
def calls(
    show: ShowPath, as_json: Annotated[bool, typer.Option("--json", help="for scripts")] = False
) -> None:
    """Print the call script: every warning, standby and go with its instant, as it is to be said."""
    with one_sentence():
        plan = compile_plan(read_show(show))
    sheets = compile_show_calls(plan)
    if not as_json:
        for line in script_lines(plan, sheets):
            out.print(line, markup=False)
        return
    items = [
        {
            "item": planned.item.id,
            "name": planned.item.name,
            "starts_s": float(start_s),
            "load": round(float(sheet.load), 4),
            "lines": [
                {
                    "what": line.what,
                    "text": line.text,
                    "starts_s": round(float(line.starts_s), 3),
                    "takes_s": round(float(line.takes_s), 3),
                    "lands_s": round(float(line.lands_s), 3),
                    "cues": [planned.cues[k].cue.id for k in line.cues],
                }
                for line in sheet.lines
            ],
            "by_itself": [
                {"cue": c.cue.id, "at_s": round(float(c.at_s), 3)} for c in planned.cues if c.by_itself
            ],
            "collisions": [c.sentence for c in sheet.collisions],
        }
        for planned, sheet, start_s in zip(plan.items, sheets, plan.starts_s, strict=True)
    ]
    sys.stdout.write(json.dumps(items, indent=1, ensure_ascii=False) + "\n")


@app.command()
def forecast(
    show: ShowPath,
    starts: Annotated[
        str | None, typer.Option(help="when it really starts, hh:mm; as planned if not given")
    ] = None,
    level: Annotated[float, typer.Option(help="how sure the curfew should be", min=0.5, max=0.999)] = 0.9,
    tour: TourOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="for scripts")] = False,
) -> None:
    """Say when the show will end, whether that makes the curfew, and what to leave out if it does not.

    Lengths are those of the plan, or what the tour beside the show has learned.
    """
    with one_sentence():
        document = read_show(show)
        paths = paths_for(show, tour)
        samples: dict[str, list[float]] = {}
        if paths.tour.exists():
            with Tour.open(paths.tour) as opened:
                samples = learned_lengths(opened, document)
        start_ns = _start_ns(document, starts)
    book = preview_book(document)
    durations = item_durations(document, samples)
    ahead = show_forecast(book, durations, 0, start_ns)
    cut = suggested_cuts(book, durations, 0, start_ns, level)
    if as_json:
        facts = {**asdict(ahead), "starts_wall_ns": start_ns, "cut": cut}
        sys.stdout.write(json.dumps(facts, indent=1) + "\n")
        return
    for figure in ends(book, start_ns, ahead):
        out.print(f"{figure.label}: {figure.value} ({figure.note})", markup=False)
    if cut:
        out.print(f"For {percent(level)}, leave out: {', '.join(cut)}", markup=False)
    elif cut is None and document.curfew is not None:
        out.print(f"For {percent(level)}, leaving out everything that may go is not enough.")


def _start_ns(document: Show, starts: str | None) -> int:
    zone = datetime.now().astimezone().tzinfo
    assert zone is not None
    if starts is not None and not re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", starts):
        raise DocumentError([f"--starts {starts!r} is not a time of day; give hh:mm, such as 20:55"])
    text = starts if starts is None or len(starts) == 5 else f"0{starts}"
    planned = planned_start_wall_ns(document.starts_at, time.time_ns(), zone)
    return planned if text is None else planned_start_wall_ns(text, planned, zone)


@app.command()
def run(
    show: ShowPath,
    headless: Annotated[
        bool, typer.Option("--headless", help="without a window, called by a simulated caller")
    ] = False,
    speed: Annotated[float, typer.Option(help="how much faster than life", min=0.25, max=1000)] = 1.0,
    seed: Annotated[int, typer.Option(help="of the simulated caller")] = 1,
    muted: Annotated[bool, typer.Option("--muted", help="send nothing")] = False,
    tour: TourOption = None,
) -> None:
    """Run a show. Without --headless this opens the desk; with it a simulated caller calls it to its end."""
    with one_sentence():
        if not headless:
            raise typer.Exit(_desk(show, tour))
        document = read_show(show)
        problems = compile_plan(document).problems
        if problems:
            raise DocumentError([str(p) for p in problems])
        paths = paths_for(show, tour)
        wall0_ns = evening_ns(document, datetime.now().astimezone())
        with open_tour(paths.tour, document.name) as opened:
            with _progress() as bar:
                task = bar.add_task("", total=1.0)
                run_headless(
                    document,
                    paths.runs,
                    speed,
                    seed,
                    wall0_ns,
                    lambda name, share: bar.update(task, completed=share, description=name),
                    muted,
                )
            added, wrong = take_in_journals(opened, paths.runs)
            for line in wrong:
                err.print(line)
            for done in added:
                _say_run(opened, done)


def _say_run(tour: Tour, run: Run) -> None:
    plan = plan_of(tour, run.edition)
    records = tour.records(run)
    zone = datetime.now().astimezone().tzinfo
    assert zone is not None
    label = ", simulated" if run.simulated is not None else ""
    out.print(f"Run {run.number}{label}: {summary_sentence(fall_of(plan, run, records), zone)}", markup=False)


@app.command()
def drift(
    tour: Annotated[Path, typer.Argument(help="the tour file (.tour)", show_default=False)],
    number: Annotated[
        int | None, typer.Option("--run", help="the run's number; all runs if not given")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="everything about one run, for scripts")] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="the cue table of one run")] = False,
) -> None:
    """Say where the time went: a sentence for every run, or one run in full."""
    with one_sentence(), Tour.open(tour) as opened:
        runs = opened.runs()
        if not runs:
            raise ReviewError(f"{tour.name} holds no run yet")
        if number is None and not (as_json or as_csv):
            for each in runs:
                _say_run(opened, each)
            return
        wanted = [r for r in runs if r.number == (number or runs[-1].number)]
        if not wanted:
            have = ", ".join(str(r.number) for r in runs[-8:])
            raise ReviewError(f"no run {number} in {tour.name}; its last are {have}")
        _drift_one(opened, wanted[0], as_json, as_csv)


def _drift_one(tour: Tour, run: Run, as_json: bool, as_csv: bool) -> None:
    plan = plan_of(tour, run.edition)
    records = tour.records(run)
    items, cues = item_table(plan, records), cue_table(plan, records)
    fall = fall_of(plan, run, records)
    if as_json:
        sys.stdout.write(to_json(fall, items, cues, department_stats(cues)) + "\n")
        return
    if as_csv:
        sys.stdout.write(to_csv(cues))
        return
    _say_run(tour, run)
    for score in scores(plan, records):
        out.print(
            f"  {score.caller}: {score.goes} goes, {percent(score.near)} within half a second, "
            f"middle {score.median_error_s:+.2f} s, worst {score.worst_s:+.2f} s",
            markup=False,
        )
    for bar in fall.bars():
        out.print(f"  {bar.label:<16} {bar.ns / 1e9:+9.1f} s", markup=False)
    out.print(f"  {'together':<16} {fall.total_ns / 1e9:+9.1f} s", markup=False)
    for row in items:
        over = "" if row.over_s is None else f"{row.over_s:+8.1f} s"
        out.print(f"  {row.name:<44.44} {row.status:<12} {over}", markup=False)
    for walk in walks(plan, records):
        for leg in walk.legs:
            if leg.actual_s is not None:
                out.print(
                    f"  {walk.name}: {leg.name} {leg.actual_s:.1f} s, planned {leg.planned_s:.1f} s",
                    markup=False,
                )
    for thing in notable(plan, records):
        out.print(f"  {span(thing.t_s):>8}  {thing.words}", markup=False)


@app.command()
def wind(
    area: Annotated[float, typer.Option(help="face of the set piece, m²")],
    mass: Annotated[float, typer.Option(help="its mass, kg")],
    arm: Annotated[float, typer.Option(help="height of the face's centre, m")],
    base: Annotated[float, typer.Option(help="depth of its base, m")],
    drag: Annotated[float, typer.Option(help="drag coefficient")] = FLAT_DRAG,
    safety: Annotated[float, typer.Option(help="safety factor, 1 or more")] = SAFETY,
) -> None:
    """Estimate at what gust a free-standing set piece tips; for orientation only."""
    try:
        piece = SetPiece(area, mass, arm, base, drag)
        limit_m_s = estimate_m_s(piece, safety)
    except ValueError as error:
        err.print(str(error))
        raise typer.Exit(2) from None
    out.print(f"About {limit_m_s:.1f} m/s, with a safety factor of {safety:g} on overturning.", markup=False)
    out.print(
        f"V = √(m g b/2 ÷ (s × 0.613 × drag × A × h)) = √({mass:g} × 9.80665 × {base:g}/2 ÷ "
        f"({safety:g} × 0.613 × {drag:g} × {area:g} × {arm:g})); q = 0.613 V² from ASCE 7 §26.10.",
        markup=False,
    )
    out.print(CAUTION, markup=False)


@app.command()
def version() -> None:
    """Print the version."""
    out.print(__version__)


def main() -> None:
    """The console script's entry."""
    app(prog_name="showcaller")
