"""Venues of the tour: which there are, the show at one of them, two of them compared."""

from datetime import datetime
from typing import Annotated

import typer

from showcaller.cli.common import ShowPath, app, one_sentence, out
from showcaller.editing import ChangeError, apply
from showcaller.model import Show, read_show, write_show


@app.command()
def venues(
    show: ShowPath,
    play: Annotated[str | None, typer.Option(help="play there: its times and ways become the show's")] = None,
    night: Annotated[str | None, typer.Option(help="on this day, 2026-08-01; else its first to come")] = None,
    compare: Annotated[
        tuple[str, str] | None,
        typer.Option(metavar="ONE OTHER", help="say what is otherwise at the other", show_default=False),
    ] = None,
) -> None:
    """List the tour's venues and their nights; play at one; or compare two."""
    # No other command should load what reads and compares editions.
    from showcaller.editing.forms.of_venues import parse_night, venue_text  # noqa: PLC0415
    from showcaller.editing.venues import at_venue, night_words, play_at  # noqa: PLC0415

    with one_sentence():
        document = read_show(show)
        if compare is not None:
            from showcaller.cli.book import say_comparison  # noqa: PLC0415
            from showcaller.editing.comparing import compare as compare_shows  # noqa: PLC0415

            one, other = (at_venue(document, _named(document, name)) for name in compare)
            say_comparison(compare_shows(one, other))
            return
        if play is not None:
            ident = _named(document, play)
            day = parse_night(night) if night is not None else _next_night(document, ident)
            document, _ = apply(document, play_at(document, ident, day))
            write_show(document, show)
    out.print(f"Tonight: {night_words(document)}", markup=False)
    for venue in document.venues:
        nights = ", ".join(venue.nights) or "no night yet"
        out.print(f"{venue_text(venue)}  ({nights})", markup=False)


def _named(show: Show, name: str) -> str:
    """The id of a venue by a part of its name."""
    found = [v for v in show.venues if name.lower() in v.name.lower()]
    if len(found) != 1:
        have = ", ".join(v.name for v in show.venues) or "none yet: the Book has a page for them"
        what = "fits more than one venue" if found else "is no venue"
        raise ChangeError(f"'{name}' {what} of this show; it has {have}")
    return found[0].id


def _next_night(show: Show, ident: str) -> str | None:
    today = datetime.now().astimezone().date().isoformat()
    nights = next(v.nights for v in show.venues if v.id == ident)
    return next((n for n in nights if n >= today), nights[-1] if nights else None)
