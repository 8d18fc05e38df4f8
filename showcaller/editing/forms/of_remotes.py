"""Pedals and remotes as lines of text: what is heard, from where, and what each does."""

import re
from typing import Any

from showcaller.editing.changes import ChangeError
from showcaller.editing.forms.of_setup import SetUpLine
from showcaller.model import Show
from showcaller.model.remote import MidiRemote, OscRemote

HINT = "midi words of its port, channel 1; note 60 go; control 64 standby · osc 9010 from 192.168.10.21"

_MIDI = re.compile(r"^midi\s+(?P<port>.+?)(?:,\s*channel\s+(?P<channel>\d+))?$", re.IGNORECASE)
_PEDAL = re.compile(
    r"^(?P<message>note|control|program)\s+(?P<number>\d+)\s+(?P<does>[a-z]+)$", re.IGNORECASE
)
_OSC = re.compile(r"^osc\s+(?:(?P<host>[^\s]+):)?(?P<port>\d+)\s+from\s+(?P<allow>.+)$", re.IGNORECASE)


def remote_lines(show: Show) -> tuple[SetUpLine, ...]:
    """Every remote, by its place."""
    return tuple(SetUpLine("remotes", str(n), remote_text(one)) for n, one in enumerate(show.remotes))


def remote_text(remote: MidiRemote | OscRemote) -> str:
    """``midi Foot switch, channel 1; note 60 go`` or ``osc 127.0.0.1:9010 from 192.168.10.21``."""
    if isinstance(remote, OscRemote):
        return f"osc {remote.host}:{remote.port} from {', '.join(remote.allow)}"
    pedals = (f"{p.message} {p.number} {p.does}" for p in remote.pedals)
    return f"midi {remote.port}, channel {remote.channel}; {'; '.join(pedals)}"


def parse_remote(text: str) -> dict[str, Any]:
    """A remote in the document's form.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    head, *rest = [words.strip() for words in text.split(";")]
    osc = _OSC.match(text.strip())
    if osc is not None:
        allow = [words.strip() for words in osc["allow"].split(",") if words.strip()]
        found: dict[str, Any] = {"kind": "osc", "port": int(osc["port"]), "allow": allow}
        return found | ({"host": osc["host"]} if osc["host"] else {})
    midi = _MIDI.match(head)
    if midi is None:
        raise ChangeError(f"'{head}' is no remote; give {HINT}")
    pedals = [_pedal(words) for words in rest if words]
    if not pedals:
        raise ChangeError("a pedal needs what it does, such as note 60 go; give go, standby or hold")
    part: dict[str, Any] = {"kind": "midi", "port": midi["port"].strip(), "pedals": pedals}
    return part | ({"channel": int(midi["channel"])} if midi["channel"] else {})


def _pedal(words: str) -> dict[str, Any]:
    match = _PEDAL.match(words)
    if match is None or match["does"].lower() not in ("go", "standby", "hold"):
        raise ChangeError(f"'{words}' is no pedal; give note 60 go, control 64 standby or program 3 hold")
    return {
        "message": match["message"].lower(),
        "number": int(match["number"]),
        "does": match["does"].lower(),
    }
