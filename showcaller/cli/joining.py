"""Commands for other machines: the door to this one's shows, and joining one elsewhere."""

import queue
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from showcaller.cli.common import app, err, one_sentence, out
from showcaller.desk.screens import has_screen
from showcaller.desk.tourfile import paths_for
from showcaller.model import DocumentError

SeatOption = Annotated[
    Literal["caller", "director", "stage", "watcher", "engine"],
    typer.Option(help="the seat that the code lets in to; engine: the second machine"),
]


@app.command()
def door(
    show: Annotated[Path, typer.Argument(help="the show document (.json)", show_default=False)],
    seat: SeatOption = "watcher",
    port: Annotated[int, typer.Option(help="the port; one of the next if it is taken", min=1024)] = 8610,
    bind: Annotated[str, typer.Option(help="the address of the network to listen at")] = "0.0.0.0",
    withdraw: Annotated[
        str, typer.Option(help="the id of a machine that is not let in any more", show_default=False)
    ] = "",
    close: Annotated[bool, typer.Option("--close", help="close the door; nobody comes in")] = False,
) -> None:
    """Open the door for other machines to the shows of a document, and show a code that lets one in.

    The door stays open when the command ends; machines that were let in come back without a code.
    """
    from showcaller.joining.control import ask, of_door  # noqa: PLC0415 - loads the transport
    from showcaller.joining.starting import start_door  # noqa: PLC0415

    with one_sentence():
        if not show.is_file():
            raise DocumentError([f"{show}: no show document; name one that is there"])
        runs = paths_for(show).runs
        if close:
            ask(of_door(runs), {"do": "close"})
            out.print("The door is closed.")
            return
        start_door(runs, port, bind)
        if withdraw:
            ask(of_door(runs), {"do": "withdraw", "id": withdraw})
            out.print(f"{withdraw} is out.")
            return
        status = ask(of_door(runs), {"do": "code", "seat": seat})
        say(status)
        watch(runs, status)


def say(status: dict[str, Any]) -> None:
    """The way in, and who is let in."""
    code = status["code"]
    if code is not None:
        digits = code["digits"]
        out.print(f"Code  {digits[:3]} {digits[3:]}   for one machine, seat: {code['seat']}, five minutes")
        out.print(f"There:  showcaller join {status['address']}", markup=False)
    for guest in status["guests"]:
        here = "here" if guest["here"] else "not here"
        out.print(f"  {guest['id']}  {guest['name']}, {guest['seat']}: {here}", markup=False)


def watch(runs: Path, status: dict[str, Any]) -> None:
    """Until the code has let somebody in, or is used up."""
    from showcaller.joining.control import ask, of_door  # noqa: PLC0415

    known = {guest["id"] for guest in status["guests"]}
    try:
        while status["code"] is not None:
            time.sleep(0.3)
            status = ask(of_door(runs), {"do": "status"})
        new = [guest for guest in status["guests"] if guest["id"] not in known]
        for guest in new:
            out.print(f"{guest['name']} is let in, seat: {guest['seat']}", markup=False)
        if not new:
            out.print("The code is used up and let nobody new in. The door stays open for those who are.")
    except KeyboardInterrupt:
        ask(of_door(runs), {"do": "hide code"})
        out.print("The code is no good any more. The door stays open for those who were let in.")


@app.command()
def join(
    address: Annotated[
        str, typer.Argument(help="the caller's machine, such as 10.0.0.5; looked for if not given")
    ] = "",
    code: Annotated[str, typer.Option(help="the six digits shown there; not needed again later")] = "",
    name: Annotated[str, typer.Option(help="what others call this machine", show_default=False)] = "",
    leave: Annotated[bool, typer.Option("--leave", help="stop following")] = False,
    no_desk: Annotated[bool, typer.Option("--no-desk", help="follow, and open no window")] = False,
) -> None:
    """Join a show that runs on another machine: follow it here, keep its log, work from this seat.

    Without an address the network is searched. A code is asked for the first time. The desk opens; R and
    RESUME join the show there. Following goes on when it is closed.
    """
    from showcaller.joining.control import ask, of_link  # noqa: PLC0415 - loads the transport
    from showcaller.joining.doors import read_doors  # noqa: PLC0415
    from showcaller.joining.starting import start_link  # noqa: PLC0415

    with one_sentence():
        folder = _folder()
        if leave:
            ask(of_link(folder), {"do": "close"})
            out.print("This machine follows no more.")
            return
        doors = read_doors(folder)
        if code or address or not doors:
            doors = [_let_in(address, code, name), *doors]
        start_link(folder, doors)
        status = _say_how_it_stands(folder)
        if status["folder"] and not no_desk and has_screen():
            raise typer.Exit(_open_desk(Path(status["folder"]), str(status["seat"])))


def _folder() -> Path:
    """Where this machine keeps what it follows."""
    from showcaller.joining.machine import joining_folder  # noqa: PLC0415

    return joining_folder() / "joined.runs"


@app.command()
def standby(
    address: Annotated[
        str, typer.Argument(help="the caller's machine, such as 10.0.0.5; looked for if not given")
    ] = "",
    code: Annotated[str, typer.Option(help="the six digits shown there, for the seat 'engine'")] = "",
    name: Annotated[str, typer.Option(help="what others call this machine", show_default=False)] = "",
) -> None:
    """Be the second machine: follow the show with every output closed, and take it over when told to.

    It never takes over by itself. T and Enter, twice, takes over; Q and Enter leaves it following.
    """
    from showcaller.joining.control import ask, of_link  # noqa: PLC0415 - loads the transport
    from showcaller.joining.doors import read_doors  # noqa: PLC0415
    from showcaller.joining.starting import start_link  # noqa: PLC0415

    with one_sentence():
        folder = _folder()
        doors = read_doors(folder)
        if code or address or not doors:
            doors = [_let_in(address, code, name), *doors]
        start_link(folder, doors)
        typed: queue.SimpleQueue[str] = queue.SimpleQueue()
        threading.Thread(target=_read_lines, args=[typed.put], daemon=True).start()
        said, armed_s = "", -9.0
        while True:
            status = _status_or_again(folder)
            words = standby_words(status)
            if words != said:
                said = words
                out.print(words, markup=False)
            line = "" if typed.empty() else typed.get()
            if line == "q":
                return
            if line == "t" and time.monotonic() - armed_s < TWICE_S:
                ask(of_link(folder), {"do": "take over", "by": name or "the second machine"})
                out.print("taking over …")
                _wait_for_engine(folder)
                return
            if line == "t":
                armed_s = time.monotonic()
                out.print("T again takes over. If the other machine still sends, say on headset who does.")
            time.sleep(0.2)


TWICE_S = 5.0


def _status_or_again(folder: Path) -> dict[str, Any]:
    """How the link stands; one whose process has died is started again."""
    from showcaller.joining.control import ask, of_link  # noqa: PLC0415
    from showcaller.joining.errors import JoinError  # noqa: PLC0415
    from showcaller.joining.starting import follow_again  # noqa: PLC0415

    try:
        return ask(of_link(folder), {"do": "status"})
    except JoinError:
        if not follow_again(folder):
            raise
    out.print("The program that follows had stopped; it is started again.")
    return ask(of_link(folder), {"do": "status"})


def _read_lines(put: Callable[[str], None]) -> None:
    for line in sys.stdin:
        put(line.strip().lower())


def _wait_for_engine(folder: Path) -> None:
    """Until the link is gone, which ends when the engine here runs; or has said why it does not."""
    from showcaller.joining.control import ask, of_link  # noqa: PLC0415
    from showcaller.joining.errors import JoinError  # noqa: PLC0415

    until_s = time.monotonic() + 20.0
    while time.monotonic() < until_s:
        try:
            status = ask(of_link(folder), {"do": "status"}, 1.0)
        except JoinError:
            break
        if status["trouble"]:
            raise JoinError(str(status["trouble"]))
        time.sleep(0.1)
    out.print("OUTPUTS LIVE HERE. Check what is in doubt before the next go.")


def standby_words(status: dict[str, Any]) -> str:
    """How the second machine stands, in one line."""
    who = status["name"] or status["door"]
    if status["out"]:
        return f"{who} does not let this machine in any more: ask for a code there"
    if not status["run"]:
        return f"{who}: no show is open there yet" if status["silent_s"] < 1 else f"{who} is not heard yet"
    if not status["live"]:
        return f"{who} IS SILENT. Ask on headset first. T and Enter, twice, takes the show over here"
    behind = "in the same place" if not status["behind"] else f"{status['behind']} records behind"
    return f"following {who}, term {status['term']}: {behind}, outputs held"


def _let_in(address: str, code: str, name: str) -> Any:
    from showcaller.joining.asking_in import ask_in  # noqa: PLC0415
    from showcaller.joining.finding import find  # noqa: PLC0415
    from showcaller.joining.machine import this_machine  # noqa: PLC0415

    if not address:
        found = find()
        for one in found:
            out.print(f"found {one.name} at {one.door}", markup=False)
        if len(found) != 1:
            err.print("Name the caller's machine: showcaller join ADDRESS; its door shows the address.")
            raise typer.Exit(2)
        address = found[0].door
    machine = this_machine(name=name)
    digits = code or typer.prompt("The six digits shown at the caller's desk")
    return ask_in(machine, address, digits)


_SEAT_OF = {"director": "director", "stage": "stage"}


def _open_desk(run: Path, seat: str) -> int:
    """The desk on the show that is followed, its document beside the runs that are."""
    from showcaller.cli.desk import open_desk  # noqa: PLC0415 - brings Qt
    from showcaller.editing.sharing.kept import offers_path  # noqa: PLC0415
    from showcaller.engine.protocol import SHOW_FILE  # noqa: PLC0415

    path = run.parent.with_suffix(".json")
    if not (path.exists() and offers_path(path).exists()):  # what was changed here is not taken yet
        path.write_text((run / SHOW_FILE).read_text(encoding="utf-8"), encoding="utf-8")
    return open_desk(path, None, _SEAT_OF.get(seat, "caller"), is_copy=True)


def _say_how_it_stands(folder: Path) -> dict[str, Any]:
    from showcaller.joining.control import ask, of_link  # noqa: PLC0415

    until_s = time.monotonic() + 5.0
    status = ask(of_link(folder), {"do": "status"})
    while time.monotonic() < until_s and not (status["live"] and status["folder"]) and not status["out"]:
        time.sleep(0.1)
        status = ask(of_link(folder), {"do": "status"})
    out.print(f"{status['name']} at {status['door']}, seat: {status['seat'] or 'none yet'}", markup=False)
    if status["out"]:
        err.print("This machine is not let in there any more: ask for a code, then join again with it.")
    elif not status["live"]:
        err.print("It is not heard, or no show is open there. This machine keeps trying.")
    else:
        out.print(f"following, {status['behind']} records behind, clocks within {status['error_ms']} ms")
    return status
