"""Remote control of a run: off unless the show names it, and only from where the show allows."""

from ipaddress import ip_address
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from showcaller.model.base import Part, Text
from showcaller.model.messages import Channel, Data7
from showcaller.model.outlets import Port

RemoteAct = Literal["go", "standby", "hold", "note"]


def _address(text: str) -> str:
    try:
        return str(ip_address(text))
    except ValueError:
        raise ValueError(f"'{text}' is not an address; give one such as 192.168.10.21") from None


Address = Annotated[Text, AfterValidator(_address)]
"""An IP address; names are not looked up."""


class OscRemote(Part):
    """OSC over UDP: ``/showcaller/go``, ``/showcaller/standby``, ``/showcaller/hold``, ``/showcaller/note``.

    ``host`` is the address listened at; only datagrams from ``allow`` are heard. The first argument is how
    far a button is pressed: zero, false and nil are its release and do nothing, none at all is a press.
    Bundles count where their time tag is 'at once'.
    """

    kind: Literal["osc"]
    host: Address = "127.0.0.1"
    port: Port
    allow: Annotated[tuple[Address, ...], Field(min_length=1)]


class Pedal(Part):
    """A MIDI message that acts: a note pressed, a control going above 63, or a programme."""

    message: Literal["note", "control", "program"]
    number: Data7
    does: Literal["go", "standby", "hold"]


class MidiRemote(Part):
    """A MIDI input found by the words in its name; only the named messages on the named channel are heard."""

    kind: Literal["midi"]
    port: Text
    channel: Channel = 1
    pedals: Annotated[tuple[Pedal, ...], Field(min_length=1)]


Remote = Annotated[OscRemote | MidiRemote, Field(discriminator="kind")]
