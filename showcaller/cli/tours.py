"""Commands on a whole tour: what is in it, copied to another place, backed up, brought back."""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from showcaller.archive.backup import back_up, restore
from showcaller.archive.copying import copy_tour
from showcaller.archive.elsewhere import look_through
from showcaller.archive.opening import look_at_file, place_of
from showcaller.archive.tour import Tour
from showcaller.cli.common import app, one_sentence, out, watched
from showcaller.outside.limits import Tell

tours = typer.Typer(help="The archive of a show's editions and runs.", no_args_is_help=True)
app.add_typer(tours, name="tour", rich_help_panel=None)

Where = Annotated[str, typer.Argument(help="a tour: a file, or postgresql://name@host/tour")]


def _look_through(source: str, seen: Tell, stopped: Callable[[], bool]) -> None:
    """A file may be from anywhere."""
    path = place_of(source).path
    if path is not None:
        look_at_file(path)
        look_through(path, seen, stopped)


@tours.command("copy")
def copy(source: Where, target: Where) -> None:
    """Copy a tour to an empty place, in either direction, and compare every row before saying it is done."""
    with one_sentence(), watched() as (seen, stopped):
        _look_through(source, seen, stopped)
        with Tour.open(source) as opened:
            copied = copy_tour(opened, target, seen, stopped)
    out.print(f"Copied to {place_of(target).name}: {copied.words}.", markup=False)
    out.print(f"Compared row by row, both ends are equal (SHA-256 {copied.digest}).", markup=False)


@tours.command()
def backup(
    source: Where, file: Annotated[Path, typer.Argument(help="the new file", show_default=False)]
) -> None:
    """Back up a tour, also one in use, to a new file."""
    with one_sentence(), Tour.open(source) as opened, watched() as (seen, stopped):
        copied = back_up(opened, file, seen, stopped)
    out.print(f"{file} holds {copied.words} (SHA-256 {copied.digest}).", markup=False)


@tours.command("restore")
def bring_back(
    file: Annotated[Path, typer.Argument(help="a backup", show_default=False)], target: Where
) -> None:
    """Bring a backup back. A tour file that stands there is moved aside, never overwritten."""
    with one_sentence(), watched() as (seen, stopped):
        _look_through(str(file), seen, stopped)
        copied, aside = restore(file, target, seen, stopped)
    out.print(f"{place_of(target).name} holds {copied.words} (SHA-256 {copied.digest}).", markup=False)
    if aside is not None:
        out.print(f"What stood there is kept as {aside}.", markup=False)


@tours.command()
def editions(source: Where) -> None:
    """List the editions with the names people gave them."""
    with one_sentence(), Tour.open(source) as opened:
        for edition in opened.editions():
            names = f"  {', '.join(edition.names)}" if edition.names else ""
            out.print(f"{edition.number:>4}  {edition.name}{names}", markup=False)
