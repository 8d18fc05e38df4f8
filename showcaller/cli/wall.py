"""Commands on the wall: what a song's looks need, and what was shown in a run."""

from pathlib import Path
from typing import Annotated

import typer

from showcaller.archive import Tour
from showcaller.calling.wording import span
from showcaller.cli.common import app, one_sentence, out
from showcaller.desk.tourfile import plan_of
from showcaller.model import read_show
from showcaller.review import ReviewError
from showcaller.review.shown import shown_in
from showcaller.screen.advice import budget
from showcaller.screen.facts import facts_of
from showcaller.screen.looks import looks_of
from showcaller.timing.plan import compile_plan


@app.command("wall")
def channels(
    show: Annotated[Path, typer.Argument(help="the show document", show_default=False)],
    facts: Annotated[
        bool, typer.Option("--facts", help="the wall's figures and where they come from")
    ] = False,
) -> None:
    """Say where a song needs more processing channels than the wall has, and what would make it fit."""
    with one_sentence():
        plan = compile_plan(read_show(show))
        if plan.show.wall is None:
            raise ReviewError(f"{plan.show.name} has no wall")
        if facts:
            for fact in facts_of(plan.show.wall):
                out.print(f"{fact.name}: {fact.text}   [{fact.formula}; {fact.source}]", markup=False)
                if fact.caution:
                    out.print(f"  {fact.caution}", markup=False)
            return
        for i, planned in enumerate(plan.items):
            found = budget(plan.show, looks_of(plan, i))
            if not found.occupied:
                continue
            out.print(f"{planned.item.name}: at most {found.most} of {found.limit} channels", markup=False)
            for shortage in found.shortages:
                out.print(f"  {shortage.sentence}", markup=False)


@app.command()
def shown(
    tour: Annotated[
        str, typer.Argument(help="the tour: a file, or postgresql://name@host/tour", show_default=False)
    ],
    number: Annotated[int | None, typer.Option("--run", help="the run's number, else the last")] = None,
    item: Annotated[str, typer.Option("--item", help="only items whose name holds these letters")] = "",
    section: Annotated[str, typer.Option("--section", help="only this section, such as 'chorus 2'")] = "",
) -> None:
    """Say what was on the wall in a run, look by look, with every layer as it was composed."""
    with one_sentence(), Tour.open(tour) as opened:
        runs = opened.runs()
        wanted = [r for r in runs if number is None or r.number == number]
        if not wanted:
            raise ReviewError(f"no run {number} in this tour" if runs else "this tour holds no run yet")
        run = wanted[-1]
        found = [
            s
            for s in shown_in(plan_of(opened, run.edition), opened.records(run))
            if item.lower() in s.item.lower() and section.lower() in s.section.lower()
        ]
        if not found:
            raise ReviewError(f"run {run.number} has nothing on the wall there")
        for one in found:
            place = ", ".join(p for p in (one.section, f"bar {one.bar}" if one.bar is not None else "") if p)
            hand = ", by hand" if one.by_hand else ""
            where = f"{one.item} {span(one.at_s)}" + (f" ({place})" if place else "")
            out.print(f"{where}: “{one.look}” by {one.how}{hand}", markup=False)
            for layer in one.layers:
                out.print(f"    {layer}", markup=False)
