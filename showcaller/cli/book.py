"""Commands on the book: a new show, what goes out and comes in, two shows compared, tonight's check."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from platformdirs import user_config_path

from showcaller.cli.common import ShowPath, app, err, one_sentence, out, watched
from showcaller.demo.blank import blank_show
from showcaller.desk.tourfile import paths_for
from showcaller.editing import ChangeError, apply
from showcaller.editing.cues import item_at
from showcaller.editing.importing import FileError
from showcaller.editing.keeping import Keeper
from showcaller.model import DocumentError, Song, read_show, write_show
from showcaller.outside import Stopped
from showcaller.outside.media import allow as allow_folder
from showcaller.outside.media import allowed_folders
from showcaller.outside.media import forget as forget_folder

if TYPE_CHECKING:
    from showcaller.editing.comparing import Comparison

_SIGNS = {"good": "good ", "look": "look ", "wrong": "WRONG"}


@app.command()
def new(
    show: Annotated[Path, typer.Argument(help="the show document to make (.json)", show_default=False)],
) -> None:
    """Make a new show with the usual departments, to be filled in the desk or by an import."""
    with one_sentence():
        if show.exists():
            raise DocumentError([f"{show} is there already; give another name"])
        write_show(blank_show(show.stem), show)
    out.print(f"Made {show}. Next: showcaller desk {show}", markup=False)


@app.command()
def export(
    show: ShowPath,
    to: Annotated[
        Path, typer.Argument(help="a file: .pdf .xlsx .ods .csv .ics .mid .otio", show_default=False)
    ],
    item: Annotated[str | None, typer.Option(help="the song, for .mid and .otio")] = None,
    department: Annotated[
        list[str] | None, typer.Option(help="for .pdf: cue sheets of these departments")
    ] = None,
    cues: Annotated[bool, typer.Option("--cues", help="for .csv: the cues, not the running order")] = False,
) -> None:
    """Write the book for others; what it is follows from the end of the file's name."""
    # What reads and writes other people's files takes a third of a second to load: not for other commands.
    from showcaller.editing.exporting.everything import exports  # noqa: PLC0415
    from showcaller.editing.exporting.midi import MidiExportError  # noqa: PLC0415
    from showcaller.editing.exporting.script import cue_sheets  # noqa: PLC0415

    with one_sentence():
        document = read_show(show)
        try:
            song = None if item is None else item_at(document, item)
            if song is not None and not isinstance(song, Song):
                raise DocumentError([f"{song.name} is a {song.kind}; .mid and .otio are for songs"])
            ends = f"-cues{to.suffix}" if to.suffix == ".csv" and cues else to.suffix
            known = exports(document, song, f"{show.name}, {date.today():%Y-%m-%d}")  # noqa: DTZ011
            fits = [write for name, (_, write) in known.items() if name.endswith(ends)]
            if department:
                to.write_bytes(cue_sheets(document, show.name, department))
            elif not fits:
                need = ", or name a song with --item" if to.suffix in (".mid", ".otio") else ""
                raise DocumentError(
                    [f"'{to.name}' does not end in .pdf .xlsx .ods .csv .ics .mid or .otio{need}"]
                )
            else:
                fits[0](document, to)
        except (ChangeError, MidiExportError) as error:
            raise DocumentError([str(error)]) from None
    out.print(f"Wrote {to}.", markup=False)


@app.command("import")
def take_in(
    show: ShowPath,
    file: Annotated[Path, typer.Argument(help="a .csv, .xlsx, .ods, .mid or .otio file", show_default=False)],
    item: Annotated[str | None, typer.Option(help="the song it is for (.mid, .otio, cues)")] = None,
    write: Annotated[
        bool, typer.Option("--write", help="change the show; else only say what would change")
    ] = False,
) -> None:
    """Say how a file is understood, row by row; with --write take it into the show."""
    from showcaller.editing.importing.taking_in import understand_outside  # noqa: PLC0415 - as above

    with one_sentence():
        keeper = Keeper(show)
        try:
            target = item or keeper.show.items[0].id
            with watched() as (seen, stop):
                sheets = understand_outside(keeper.show, file, target, seen, stop)
            for n in range(len(sheets)):
                if write and n:  # the sheet before it has changed the show that this one is for
                    sheets = understand_outside(keeper.show, file, target)
                found = sheets[n]
                out.print(f"{found.title}: {found.summary}.", markup=False)
                for remark in found.remarks:
                    out.print(f"  {'! ' if remark.wrong else ''}{remark}", markup=False)
                if write and found.change is not None:
                    if keeper.read_only:
                        raise DocumentError([keeper.said or "it is open elsewhere"])
                    changed, _ = apply(keeper.show, found.change)
                    keeper.record(found.change, changed)
        except (FileError, Stopped, ChangeError) as error:
            raise DocumentError([str(error)]) from None
        finally:
            keeper.close()
    if not write:
        out.print("Nothing was changed; add --write to import it.")


@app.command()
def media(
    allow: Annotated[
        Path | None, typer.Option("--allow", help="let clips, stills and sound lie in this folder")
    ] = None,
    forget: Annotated[Path | None, typer.Option("--forget", help="no longer allow this folder")] = None,
) -> None:
    """Say which folders media may lie in besides the show's own, on this machine; allow or forget one."""
    settings = user_config_path("showcaller")
    with one_sentence():
        if allow is not None:
            allow_folder(settings, allow)
        if forget is not None:
            forget_folder(settings, forget)
    folders = allowed_folders(settings)
    out.print(f"Media may lie in the show's own folder{'' if folders else ' only'}.", markup=False)
    for folder in folders:
        out.print(f"  and in {folder}", markup=False)


@app.command()
def compare(
    old: Annotated[Path, typer.Argument(help="the show document as it was", show_default=False)],
    new_show: Annotated[Path, typer.Argument(metavar="NEW", help="as it is now", show_default=False)],
) -> None:
    """Tell what changed between two show documents, as a note to the crew."""
    from showcaller.editing.comparing import compare as compare_shows  # noqa: PLC0415 - as above

    with one_sentence():
        found = compare_shows(read_show(old), read_show(new_show))
    say_comparison(found)


def say_comparison(found: "Comparison") -> None:
    """A comparison as a note to the crew."""
    out.print(found.summary, markup=False)
    item = None
    for note in found.notes:
        if note.item != item:
            item = note.item
            out.print(f"\n{item or 'The show'}", markup=False)
        out.print(f"  {note.words}", markup=False)
    for words in found.collisions:
        out.print(f"\nCalls now too close together: {words}", markup=False)


@app.command()
def ready(show: ShowPath) -> None:
    """Look over what tonight's show needs: plan, devices, media, timecode, disk, clock, this machine."""
    from showcaller.readiness import look_over  # noqa: PLC0415 - as above

    wrong = False
    with one_sentence():
        document = read_show(show)
        for found in look_over(document, show.parent, paths_for(show).runs):
            wrong = wrong or found.state == "wrong"
            out.print(f"{_SIGNS[found.state]}  {found.what}: {found.words} {found.do}".rstrip(), markup=False)
    err.print("showcaller is not a safety system; people and local codes decide.", markup=False)
    raise typer.Exit(1 if wrong else 0)
