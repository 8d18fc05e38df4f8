"""Commands on the wall: what a song's looks need, and what was shown in a run."""

from pathlib import Path
from typing import Annotated

import typer

from showcaller.archive.tour import Tour
from showcaller.calling.wording import span
from showcaller.cli.common import app, one_sentence, out
from showcaller.desk.tour_reading import plan_of
from showcaller.model import Show, read_show
from showcaller.review.clock_path import clock_path
from showcaller.review.errors import ReviewError
from showcaller.review.shown import shown_in
from showcaller.review.stood import stood_in
from showcaller.review.windows import asked
from showcaller.run.compiled import compile_show
from showcaller.run.runlog import Record
from showcaller.screen.advice import budgets
from showcaller.screen.cameras import camera_calls, camera_conflicts
from showcaller.screen.facts import facts_of
from showcaller.screen.looks import looks_of
from showcaller.screen.surfaces import pools_of
from showcaller.timing.plan import Plan, compile_plan
from showcaller.timing.planned_start import zone_of


@app.command("wall")
def channels(
    show: Annotated[Path, typer.Argument(help="the show document", show_default=False)],
    facts: Annotated[bool, typer.Option("--facts", help="the wall's data and where it comes from")] = False,
) -> None:
    """Say where a song needs more processing channels than the wall has, and what would make it fit."""
    with one_sentence():
        plan = compile_plan(read_show(show))
        if plan.show.wall is None:
            raise ReviewError(f"{plan.show.name} has no wall; set one up in Wall first")
        if facts:
            for surface in plan.show.surfaces:
                if len(plan.show.surfaces) > 1:
                    out.print(surface.name, markup=False)
                for fact in facts_of(surface):
                    out.print(f"{fact.name}: {fact.text}   [{fact.formula}; {fact.source}]", markup=False)
                    if fact.caution:
                        out.print(f"  {fact.caution}", markup=False)
            return
        for i, planned in enumerate(plan.items):
            found = [one for one in budgets(plan.show, looks_of(plan, i)) if one.occupied]
            if not found:
                continue
            said = f"{found[0].most} of {found[0].limit} channels"
            if len(pools_of(plan.show)) > 1:
                said = ", ".join(f"{one.most} of {one.limit} channels in {one.pool.name}" for one in found)
            out.print(f"{planned.item.name}: at most {said}", markup=False)
            for shortage in (s for one in found for s in one.shortages):
                out.print(f"  {shortage.sentence}", markup=False)


@app.command("test-pictures")
def wall_test_pictures(
    show: Annotated[Path, typer.Argument(help="the show document", show_default=False)],
    which: Annotated[
        str, typer.Option("--which", help="one of them: grid, 'white 50 %', 'pixel map', 'black movie', …")
    ] = "",
    to: Annotated[Path, typer.Option("--to", help="the folder they go to")] = Path("test-pictures"),
    surface: Annotated[
        str, typer.Option("--surface", help="of this surface only, by its name: 'Side left'")
    ] = "",
) -> None:
    """Write test pictures, pixel map and a black movie with inputs, seams and safe areas, at true size."""
    from showcaller.screen.testfiles import write_test_files  # noqa: PLC0415 - brings what draws

    with one_sentence():
        for path in write_test_files(read_show(show), to, which, surface):
            out.print(str(path), markup=False)


@app.command("cameras")
def wall_cameras(
    show: Annotated[Path, typer.Argument(help="the show document", show_default=False)],
    to: Annotated[
        Path | None, typer.Option("--to", help="write a PDF for each camera's operator to this folder")
    ] = None,
) -> None:
    """Say what is said to the cameras in every song, and what cannot be; write the operators' papers."""
    with one_sentence():
        plan = compile_plan(read_show(show))
        for n, planned in enumerate(plan.items):
            looks = looks_of(plan, n)
            calls = camera_calls(plan.show, planned, looks)
            wrong = camera_conflicts(plan.show, planned, looks)
            if calls or wrong:
                out.print(planned.item.name, markup=False)
            for call in calls:
                out.print(
                    f"  {span(call.at_s) if call.at_s >= 0 else 'before':>6}  {call.text}", markup=False
                )
            for sentence in wrong:
                out.print(f"       !  {sentence}", markup=False)
        if to is not None:
            from showcaller.editing.exporting.everything import now_words  # noqa: PLC0415 - brings what prints
            from showcaller.screen.camera_sheets import write_camera_sheets  # noqa: PLC0415 - as above

            for path in write_camera_sheets(plan.show, to, now_words(plan.show)):
                out.print(str(path), markup=False)


@app.command()
def shown(
    tour: Annotated[
        str, typer.Argument(help="the tour: a file, or postgresql://name@host/tour", show_default=False)
    ],
    number: Annotated[
        int | None, typer.Option("--run", help="number of the show or rehearsal, else the last")
    ] = None,
    item: Annotated[str, typer.Option("--item", help="only items whose name holds these letters")] = "",
    section: Annotated[str, typer.Option("--section", help="what stood in it, such as 'chorus 2'")] = "",
    bars: Annotated[str, typer.Option("--bars", help="what stood in them, such as 57-72")] = "",
    clock: Annotated[
        str, typer.Option("--clock", help="what stood between two times of day, such as 21:14-21:15:30")
    ] = "",
    last: Annotated[int, typer.Option("--last", help="what stood in the last so many seconds", min=0)] = 0,
    pictures: Annotated[
        Path | None,
        typer.Option("--pictures", help="with a part: a picture of each look to this folder"),
    ] = None,
) -> None:
    """Say what was on the wall in a run, look by look, with every layer as it was composed.

    Asked for a section, bars, a time of day or the last seconds, it lists all that stood there at any time,
    also what had come before.
    """
    with one_sentence(), Tour.open(tour) as opened:
        runs = opened.runs()
        wanted = [r for r in runs if number is None or r.number == number]
        if not wanted:
            raise ReviewError(
                f"nothing numbered {number} in this tour"
                if runs
                else "this tour holds no show or rehearsal yet"
            )
        run = wanted[-1]
        part = section or (bars and f"bars {bars}") or clock or (last and f"last {last}")
        if part:
            meant = (opened.show_of(run.edition), opened.records(run), part, item)
            _say_stood(plan_of(opened, run), *meant, pictures)
            return
        found = [
            s for s in shown_in(plan_of(opened, run), opened.records(run)) if item.lower() in s.item.lower()
        ]
        if not found:
            raise ReviewError(f"run {run.number} has nothing on the wall there; try another moment")
        for one in found:
            bar = "" if one.bar is None else f"bar {one.bar}"
            bar += f" to {one.until_bar}" if bar and one.until_bar not in (None, one.bar) else ""
            place = ", ".join(p for p in (one.section, bar) if p)
            hand = ", by hand" if one.by_hand else ""
            how = "played" if one.how == "played" else f"by {one.how}"
            where = f"{one.item} {span(one.at_s)}" + (f" ({place})" if place else "")
            out.print(f"{where}: “{one.look}” {how}{hand}", markup=False)
            for layer in one.layers:
                out.print(f"    {layer}", markup=False)


def _say_stood(
    plan: Plan, show: Show, records: list[Record], part: str, item: str, pictures: Path | None
) -> None:
    """What stood in a part of a run, a line each, its layers below; a picture of each if asked for."""
    path = clock_path(compile_show(compile_plan(show)), records)
    meant = asked(part, plan, path, records, zone_of(show), item)
    found = stood_in(plan, path, records, meant.spans)
    if not found:
        raise ReviewError(f"nothing stood on the wall in {meant.words}")
    out.print(f"{meant.words}:", markup=False)
    for one in found:
        hand = ", by hand" if one.by_hand else ""
        until = one.until.words if one.until is not None else "the end of the log"
        out.print(f"  “{one.look}” from {one.since.words} to {until}, by {one.how}{hand}", markup=False)
        for layer in one.layers:
            since = "there since" if layer.carried else "there at"
            out.print(f"      {layer.words} ({since} {layer.arrived.words})", markup=False)
        for played in one.played:
            until = f" to {played.until.words}" if played.until.words != played.since.words else ""
            out.print(f"      {played.words} (by hand, {played.since.words}{until})", markup=False)
    if pictures is not None:
        from showcaller.cli.stood_pictures import stood_pictures  # noqa: PLC0415 - brings what composes

        files = stood_pictures(compile_plan(show), plan, records, found, pictures)
        out.print(f"{len(files)} pictures in {pictures}", markup=False)
