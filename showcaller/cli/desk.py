"""The command that opens the desk. Somebody waits for it: it is loaded without what the others need."""

import gc
import os
import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from showcaller.archive import TourAway
from showcaller.archive.later import LaterTour
from showcaller.cli.common import ShowPath, TourOption, app, err, one_sentence, out
from showcaller.desk.journals import take_in_journals
from showcaller.desk.screens import has_screen
from showcaller.desk.tourfile import paths_for, tour_for_desk
from showcaller.editing.keeping import Keeper
from showcaller.model import read_show, write_show


@app.command()
def desk(
    show: ShowPath,
    tour: TourOption = None,
    seat: Annotated[
        Literal["caller", "director", "stage"] | None,
        typer.Option(help="whose desk this is; remembered", show_default="the seat used last"),
    ] = None,
) -> None:
    """Open the desk on a show, a new one if there is none: plan, call it live, see where the time went."""
    with one_sentence():
        raise typer.Exit(open_desk(show, tour, seat))


def open_desk(
    show_path: Path,
    tour_path: str | None,
    seat: str | None = None,
    guided: bool = False,
    is_copy: bool = False,
) -> int:
    """Open the desk; the exit status. A tour of which nothing is to be said opens once the window stands.
    ``is_copy``: the document itself is on the machine that was joined."""
    if not show_path.exists() and show_path.suffix == ".json" and show_path.parent.is_dir() and has_screen():
        from showcaller.demo.blank import blank_show  # noqa: PLC0415 - once in a show's life

        write_show(blank_show(show_path.stem), show_path)
        err.print(f"There was no {show_path}; it is a new show now.", markup=False)
    if not has_screen():
        read_show(show_path)  # what is wrong with the document comes first
        err.print("There is no screen here. 'showcaller run' and 'showcaller demo' work without one.")
        return 2
    gc.disable()  # as in ``main``; the demo opens the desk too
    from showcaller.desk.app import run_desk  # noqa: PLC0415 - Qt is loaded only where there is a screen

    paths = paths_for(show_path, tour_path)
    keeper = Keeper(show_path, is_copy=is_copy)
    opened = tour_for_desk(paths, keeper.show.name)
    if isinstance(opened, LaterTour):
        return run_desk(keeper, opened, paths.runs, seat, guided)
    try:
        _, wrong = take_in_journals(opened, paths.runs)
        for line in wrong:
            err.print(line)
    except TourAway as away:
        err.print(f"{away}. The desk opens all the same; shows are saved to it when it answers.")
    return run_desk(keeper, opened, paths.runs, seat, guided)


@app.command("menu-entry")
def menu_entry(
    remove: Annotated[bool, typer.Option("--remove", help="take it away again")] = False,
) -> None:
    """Put showcaller into this desktop's menu: entry, icon, and show documents (*.show.json) open with it.

    Linux only, in your own folders. Elsewhere a link to the command does the same.
    """
    if sys.platform != "linux":
        err.print("On this system make a link to the command 'showcaller'; a menu entry is for Linux.")
        raise typer.Exit(2)
    from showcaller.desk.menu_entry import command_of, data_home, put, take_away  # noqa: PLC0415 - only here

    home = data_home(os.environ)
    with one_sentence():
        done = take_away(home) if remove else put(home, command_of())
    for path in done:
        out.print(f"{'removed' if remove else 'wrote'} {path}", markup=False)
    if not done:
        out.print("There was no menu entry.")
