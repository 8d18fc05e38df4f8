"""The command that serves crew pages without a desk."""

import asyncio
import logging
from pathlib import Path
from typing import Annotated

import typer

from showcaller.cli.common import app, err, one_sentence, out
from showcaller.desk.tourfile import paths_for
from showcaller.model import DocumentError


@app.command()
def crew(
    show: Annotated[
        Path,
        typer.Argument(help="the show document (.json), or the folder of one show's log", show_default=False),
    ],
    port: Annotated[
        int, typer.Option(help="the port; one of the next 20 if it is taken", min=1, max=65535)
    ] = 8443,
    bind: Annotated[
        str, typer.Option(help="the address to listen at; 127.0.0.1 for this machine only")
    ] = "0.0.0.0",
    host: Annotated[
        list[str] | None, typer.Option("--host", help="another name or address this machine is reached by")
    ] = None,
    withdraw: Annotated[
        bool, typer.Option("--withdraw", help="a new PIN and new links; nobody who was in stays in")
    ] = False,
) -> None:
    """Serve the crew pages: each position's next cue, its cue light, its answers. Ctrl+C ends it.

    Whoever scans the code and types the PIN gets in. No page can give a go.
    """
    from showcaller.crew.following import is_run_folder  # noqa: PLC0415 - loads the web server
    from showcaller.crew.keeping import KeepingError, kept_for  # noqa: PLC0415
    from showcaller.crew.serving import Server, ServingError, Wanted, give_way  # noqa: PLC0415

    with one_sentence():
        is_run = is_run_folder(show)
        if not is_run and not show.is_file():
            raise DocumentError([f"{show}: no show document and no show's log; name one that is there"])
        where = show if is_run else paths_for(show).runs
        logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(message)s")
        wanted = Wanted(where, None if is_run else show, port, bind=bind, hosts=tuple(host or ()))
        try:
            server = Server(wanted, kept_for(where))
        except (ServingError, KeepingError) as error:
            err.print(str(error))
            raise typer.Exit(2) from None
        if withdraw:
            server.door.withdraw_all()
        give_way()
        try:
            say(server.link(""), server.door.pin, server.fingerprint)
            asyncio.run(server.serve())
        except KeyboardInterrupt:
            out.print("Crew pages closed.")


def say(link: str, pin: str, fingerprint: str) -> None:
    """The way in: code, address, PIN, and what to compare before trusting it."""
    import segno  # noqa: PLC0415

    segno.make(link, error="m").terminal(compact=True)
    out.print(f"Scan it, or open  {link}", markup=False)
    out.print(f"PIN  {pin}")
    out.print(
        "The browser warns once: nobody has signed this certificate. Go on only if it shows this SHA-256:"
    )
    out.print(f"  {fingerprint}")
    out.print("Crew pages follow the show that is open. No page can give a go. Ctrl+C ends it.")
