"""Devices, without sending them anything: are they there?"""

import socket
import time
from collections.abc import Iterator
from pathlib import Path

from platformdirs import user_config_path

from showcaller.engine.outlets.midi import rtmidi_module
from showcaller.engine.timecode_in import open_timecode_in
from showcaller.engine.timecode_in.base import Heard
from showcaller.model import MidiOutlet, MtcIn, OscTcpOutlet, Show, Song
from showcaller.outside import Refused
from showcaller.outside.media import allowed_file, allowed_folders, is_camera
from showcaller.readiness.finding import Finding
from showcaller.run.events import Event, TimecodePortState
from showcaller.screen.media_check import file_trouble

TCP_WAIT_S = 1.5
CODE_WAIT_S = 2.0


def outlets(show: Show) -> Iterator[Finding]:
    """One line for each outlet that is used, and one for those that are muted."""
    used = {m.outlet for item in show.items if not item.out for cue in item.cues for m in cue.messages}
    ports: list[str] | str | None = None
    for outlet in show.outlets:
        what = f"output {outlet.name}"
        if outlet.id not in used:
            continue
        if outlet.muted:
            yield Finding(
                what, "look", "is muted in the show.", "Nothing will be sent to it until it is unmuted."
            )
        elif isinstance(outlet, MidiOutlet):
            ports = midi_ports() if ports is None else ports
            yield _midi(what, outlet, ports)
        elif isinstance(outlet, OscTcpOutlet):
            yield _tcp(what, outlet)
        else:
            yield _udp(what, outlet.host, outlet.port)


def midi_ports() -> list[str] | str:
    """Names of MIDI outputs, or why there are none."""
    try:
        rtmidi = rtmidi_module()
    except OSError as error:
        return str(error)
    names: list[str] = []
    for api in rtmidi.get_compiled_api():
        try:
            port = rtmidi.MidiOut(api, name="showcaller check")
            names += port.get_ports()
            port.delete()
        except rtmidi.RtMidiError:  # that system is not running here
            continue
    return names


def _midi(what: str, outlet: MidiOutlet, ports: list[str] | str) -> Finding:
    if isinstance(ports, str):
        return Finding(what, "wrong", ports, "")
    if outlet.virtual:
        return Finding(what, "good", f"a port '{outlet.port}' will be made for others to connect to.")
    found = [name for name in ports if outlet.port.lower() in name.lower()]
    if found:
        return Finding(what, "good", f"MIDI port '{found[0]}' is there.")
    have = ", ".join(ports) or "none"
    return Finding(
        what,
        "wrong",
        f"no MIDI port with '{outlet.port}' in its name; there are: {have}.",
        "Plug it in, or correct the name.",
    )


def _tcp(what: str, outlet: OscTcpOutlet) -> Finding:
    try:
        with socket.create_connection((outlet.host, outlet.port), timeout=TCP_WAIT_S):
            return Finding(what, "good", f"answers at {outlet.host}:{outlet.port}.")
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        return Finding(
            what,
            "wrong",
            f"does not answer at {outlet.host}:{outlet.port}: {why}.",
            "Check its power, its cable and its address.",
        )


def _udp(what: str, host: str, port: int) -> Finding:
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_DGRAM)[0]
        with socket.socket(found[0], socket.SOCK_DGRAM) as sock:
            sock.connect(found[4])
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        return Finding(
            what,
            "wrong",
            f"{host} cannot be reached: {why}.",
            "Check the network, the cable and the address.",
        )
    return Finding(
        what,
        "look",
        f"{host}:{port} can be reached; UDP does not answer.",
        "Send a cue once in the Book and look at the device.",
    )


def media(show: Show, folder: Path | None) -> Iterator[Finding]:
    """Whether the files that songs and sources name are there."""
    names = [s.reference for s in show.items if isinstance(s, Song) and s.reference and not s.out]
    names += [s.media for s in show.sources if s.media]
    if not names:
        return
    wrong = []
    for name in dict.fromkeys(names):
        try:
            if not is_camera(name):
                allowed_file(name, folder, allowed_folders(user_config_path("showcaller")))
            elif not Path(name).exists():
                wrong.append(f"no camera at {name}")
        except Refused as error:
            wrong.append(str(error))
    allowed = allowed_folders(user_config_path("showcaller"))
    changed = (file_trouble(s, folder, allowed) for s in show.sources)
    wrong += [words for words in changed if words and words not in wrong]
    if wrong:
        more = f"; and {len(wrong) - 3} more" if len(wrong) > 3 else ""
        yield Finding(
            "media",
            "wrong",
            f"{'; '.join(wrong[:3])}{more}.",
            f"Copy them into {folder}, or read them again in Wall.",
        )
    else:
        yield Finding("media", "good", f"all {len(dict.fromkeys(names))} files are there.")


def loudness(show: Show) -> Iterator[Finding]:
    """For information: how loud the sources' sound is, the loudest first."""
    known = [
        (s.name, s.read) for s in show.sources if s.read is not None and s.read.loudness_lufs is not None
    ]
    if known:
        known.sort(key=lambda one: -(one[1].loudness_lufs or 0))
        more = f"; and {len(known) - 6} more" if len(known) > 6 else ""
        words = ", ".join(f"{name} {file.loudness_words}" for name, file in known[:6])
        yield Finding("loudness", "good", f"{words}{more} (integrated, EBU R 128).")


def timecode(show: Show) -> Iterator[Finding]:
    """Whether the timecode port is there, and whether code runs on it now."""
    source = show.timecode_in
    if source is None:
        return
    what = "MIDI Time Code in" if isinstance(source, MtcIn) else "linear timecode in"
    heard: list[Heard] = []
    said: list[Event] = []
    port = open_timecode_in(source, show.timecode_rate, heard.append, said.append)
    try:
        end_s = time.monotonic() + CODE_WAIT_S
        while not heard and time.monotonic() < end_s:
            time.sleep(0.05)
    finally:
        port.close()
    if heard:
        yield Finding(what, "good", "code is running and is read.")
        return
    last = said[-1] if said else None
    if not isinstance(last, TimecodePortState):
        last = TimecodePortState(state="closed", why="no answer")
    if last.state == "open":
        yield Finding(
            what,
            "look",
            "the port is there, no code runs on it.",
            "Let the playback run for a moment and look again.",
        )
    else:
        yield Finding(what, "wrong", f"{last.why}.", "Plug it in, or correct its name in the show.")
