"""How a department's desk tells that a cue has happened there: which message, from where, means which cue."""

from decimal import Decimal
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from showcaller.model.base import Id, Part, Text
from showcaller.model.messages import Channel, Data7, DeviceId, OscAddress
from showcaller.model.outlets import Port
from showcaller.model.quantities import CueNumber
from showcaller.model.remote import Address

CUE = "{cue}"


def _pattern(text: str) -> str:
    address, _, argument = text.partition(" ")
    parts = address.split("/")
    well = (
        address.startswith("/")
        and not any(c in address.replace(CUE, "") for c in "#*,?[]{} ")
        and argument in ("", CUE)
        and sum(CUE in part for part in parts) + (argument == CUE) == 1
        and all(part == CUE for part in parts if CUE in part)
    )
    if not well:
        raise ValueError(
            f"'{text}' does not say where the cue's number stands; give such as /cue/{CUE}/fired "
            f"or, if it is the first argument, /fired {CUE}"
        )
    return text


CuePattern = Annotated[Text, AfterValidator(_pattern)]
"""An OSC address with ``{cue}`` as a whole part of it, or behind it for the first argument."""


class OscMeans(Part):
    """A message at this address means this cue of the department."""

    address: OscAddress
    cue: CueNumber


class MidiMeans(Part):
    """A note, or a programme (0 to 127 as it is sent), means this cue of the department."""

    number: Data7
    cue: CueNumber


class _OscReports(Part):
    address: CuePattern | None = None
    cues: tuple[OscMeans, ...] = ()

    @model_validator(mode="after")
    def _means_something(self) -> Self:
        if self.address is None and not self.cues:
            raise ValueError(f"says of no message which cue it means; give an address such as /cue/{CUE}")
        return self


class OscReports(_OscReports):
    """OSC over UDP, heard at ``host`` (all of this machine's addresses by default), from ``allow`` only."""

    kind: Literal["osc"]
    host: Address = "0.0.0.0"
    port: Port
    allow: Annotated[tuple[Address, ...], Field(min_length=1)]


class TcpReports(_OscReports):
    """OSC that comes back over the TCP connection of one of the show's outlets."""

    kind: Literal["osc_tcp"]
    outlet: Id


class MscReports(Part):
    """MIDI Show Control (RP-002): GO and TIMED GO with a cue number, at the MIDI input with these words in
    its name. ``device`` is whose; any if not given. ``list`` is the cue list; any if not given."""

    kind: Literal["msc"]
    port: Text
    device: DeviceId | None = None
    list: Text | None = None


class MidiReports(Part):
    """Notes going down, or programme changes. Without ``cues`` their number is the cue's."""

    kind: Literal["notes", "programs"]
    port: Text
    channel: Channel = 1
    cues: tuple[MidiMeans, ...] = ()


DeskReport = Annotated[OscReports | TcpReports | MscReports | MidiReports, Field(discriminator="kind")]


def can_tell(report: DeskReport, number: Decimal) -> bool:
    """Whether a desk that reports so can tell of the cue with this number."""
    match report:
        case OscReports() | TcpReports():
            return report.address is not None or any(m.cue == number for m in report.cues)
        case MscReports():
            return True
        case MidiReports():
            whole = number == number.to_integral_value() and 0 <= number <= 127
            return any(m.cue == number for m in report.cues) if report.cues else whole
