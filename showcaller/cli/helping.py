"""Commands before a show and after trouble: is this machine fit, and what to send to whoever helps."""

from pathlib import Path
from typing import Annotated, NoReturn

import platformdirs
import typer

from showcaller.cli.common import app, err, one_sentence, out
from showcaller.desk.tourfile import paths_for
from showcaller.model import read_show
from showcaller.readiness.finding import Finding

_SIGNS = {"good": "good ", "look": "look ", "wrong": "WRONG"}

OfShow = Annotated[
    Path | None, typer.Argument(help="the show document, for its outputs and its records", show_default=False)
]


@app.command()
def selftest(show: OfShow = None) -> None:
    """Say in words whether this machine is fit tonight: clock, lateness, disk, ports, MIDI, power, load.

    Lateness is a real engine's, beside a bare loop. Nothing is sent to any device.
    """
    from showcaller.readiness.fitness import fit_tonight, verdict  # noqa: PLC0415 - only here

    found: list[Finding] = []
    with one_sentence():
        document = read_show(show) if show is not None else None
        for one in fit_tonight(_runs(show), document):
            found.append(one)
            out.print(f"{_SIGNS[one.state]}  {one.what}: {one.words} {one.do}".rstrip(), markup=False)
    last = verdict(found)
    out.print(f"\nThis machine is {last.words} {last.do}".rstrip(), markup=False)
    err.print("showcaller is not a safety system; people and local codes decide.", markup=False)
    raise typer.Exit(1 if last.state == "wrong" else 0)


@app.command()
def support(
    show: OfShow = None,
    to: Annotated[Path, typer.Option(help="the file to write")] = Path("showcaller-support.zip"),
    with_show: Annotated[
        bool, typer.Option("--with-show", help="also the shows and whole records, with every name in them")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="do not ask before writing")] = False,
) -> None:
    """Put together what helps whoever helps you: logs, versions, facts. Listed first, written when you agree.

    The show and names of people stay out unless --with-show asks for them. Nothing is sent anywhere.
    """
    from showcaller.readiness.bundle import collect, listing, write  # noqa: PLC0415 - only here
    from showcaller.readiness.fitness import fit_tonight  # noqa: PLC0415

    if to.exists():
        _is_there(to)
    with one_sentence():
        parts = collect(
            _runs(show),
            list(fit_tonight(_runs(show))),
            platformdirs.user_config_path("showcaller"),
            with_show,
        )
        out.print(f"{to} would hold:", markup=False)
        for line in listing(parts):
            out.print(f"  {line}", markup=False)
        if not with_show:
            out.print("The show, notes and names of people are left out; addresses and folders are replaced.")
        if not yes and not typer.confirm("Write it?"):
            out.print("Nothing was written.")
            return
        try:
            write(parts, to)
        except FileExistsError:
            _is_there(to)
        out.print(f"Wrote {to.absolute()}. Look into it before you send it.", markup=False)


def _is_there(to: Path) -> NoReturn:
    err.print(f"{to} is there already and was left as it is; give another with --to", markup=False)
    raise typer.Exit(2)


def _runs(show: Path | None) -> Path:
    return paths_for(show).runs if show is not None else Path.cwd()
