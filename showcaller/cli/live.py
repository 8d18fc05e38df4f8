"""Commands that run a show: demo, run."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from showcaller.calling.headless import run_headless
from showcaller.cli.common import ShowPath, TourOption, app, err, one_sentence, out, progress
from showcaller.cli.desk import open_desk
from showcaller.cli.saying import say_run
from showcaller.demo.receiver import receivers
from showcaller.demo.sample import copy_sample, evening_ns, make_sample_tour
from showcaller.desk.journals import mark_for, take_in_journals
from showcaller.desk.screens import has_screen
from showcaller.desk.tourfile import open_tour, paths_for
from showcaller.model import DocumentError, read_show
from showcaller.timing.plan import compile_plan
from showcaller.timing.planned_start import zone_of


@app.command()
def demo(
    folder: Annotated[Path, typer.Option(help="where the demo's files go")] = Path("demo-output"),
    speed: Annotated[
        float, typer.Option(help="speed, as a multiple of real time, without a screen", min=1)
    ] = 200.0,
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
            with receivers(read_show(path), err.print):
                raise typer.Exit(open_desk(path, None, guided=True))
        from showcaller.demo.headless import run_demo  # noqa: PLC0415 - brings Qt's picture making

        out.print(
            f"No screen: running the sample show at {speed:g}×, outputs live to receivers on this machine."
        )
        with progress() as bar:
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
            "show-report.pdf",
            "show-report.html",
            "review-items.csv",
            "review-cues.csv",
            "review.json",
            "received.txt",
        ):
            out.print(f"  {(folder / name).resolve()}")


@app.command()
def run(
    show: ShowPath,
    headless: Annotated[
        bool, typer.Option("--headless", help="without a window, called by a simulated caller")
    ] = False,
    speed: Annotated[
        float, typer.Option(help="speed, as a multiple of real time, at most what the machine can", min=0.25)
    ] = 1.0,
    seed: Annotated[int, typer.Option(help="of the simulated caller")] = 1,
    muted: Annotated[bool, typer.Option("--muted", help="send nothing")] = False,
    tour: TourOption = None,
) -> None:
    """Run a show. Without --headless this opens the desk; with it a simulated caller calls it to its end."""
    with one_sentence():
        if not headless:
            raise typer.Exit(open_desk(show, tour))
        document = read_show(show)
        problems = compile_plan(document).problems
        if problems:
            raise DocumentError([str(p) for p in problems])
        paths = paths_for(show, tour)
        wall0_ns = evening_ns(document, datetime.now(zone_of(document)))
        with open_tour(paths.where, document.name) as opened:
            with progress() as bar:
                task = bar.add_task("", total=1.0)
                folder = run_headless(
                    document,
                    paths.runs,
                    speed,
                    seed,
                    wall0_ns,
                    lambda name, share: bar.update(task, completed=share, description=name),
                    muted,
                )
            mark_for(folder, opened.where)
            added, wrong = take_in_journals(opened, paths.runs)
            for line in wrong:
                err.print(line)
            for done in added:
                say_run(opened, done)
