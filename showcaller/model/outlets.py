"""Named destinations of messages."""

from typing import Annotated, Literal

from pydantic import Field

from showcaller.model.base import Id, Part, Text

Port = Annotated[int, Field(ge=1, le=65535)]


class OscUdpOutlet(Part):
    """OSC, one message a datagram. ``term``: the last argument of every message is the run's term (i), so
    that a device can refuse a machine that another has taken over from."""

    kind: Literal["osc_udp"]
    id: Id
    name: Text
    host: Text = "127.0.0.1"
    port: Port
    muted: bool = False
    term: bool = False


class OscTcpOutlet(Part):
    """OSC over TCP; SLIP framing (double END), or the 32-bit length prefix of OSC 1.0."""

    kind: Literal["osc_tcp"]
    id: Id
    name: Text
    host: Text = "127.0.0.1"
    port: Port
    framing: Literal["slip", "length"] = "slip"
    muted: bool = False
    term: bool = False


class MidiOutlet(Part):
    """A MIDI output port, found by the words in its name.

    With ``virtual`` a port of that name is made here for others to connect to (not on Windows). With
    ``timecode`` it carries MIDI Time Code while a song with a timecode start is on.
    """

    kind: Literal["midi"]
    id: Id
    name: Text
    port: Text
    virtual: bool = False
    timecode: bool = False
    muted: bool = False


Outlet = Annotated[OscUdpOutlet | OscTcpOutlet | MidiOutlet, Field(discriminator="kind")]
