"""Commands on the record: drift."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from showcaller.archive import Run, Tour
from showcaller.calling.wording import percent, span
from showcaller.cli.common import app, one_sentence, out, say_run
from showcaller.desk.tourfile import fall_of, plan_of
from showcaller.review import (
    ReviewError,
    cue_table,
    department_stats,
    item_table,
    notable,
    scores,
    to_csv,
    to_json,
    walks,
)


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
                say_run(opened, each)
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
    say_run(tour, run)
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
