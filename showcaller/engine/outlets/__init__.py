"""Where messages leave. Each outlet has its own socket or port, and where sending can block its own thread,
so that a dead device never delays another.
"""

from showcaller.engine.outlets.base import OutboundBatch, OutletPort
from showcaller.engine.outlets.midi import MidiPort
from showcaller.engine.outlets.tcp import TcpPort
from showcaller.engine.outlets.udp import UdpPort
from showcaller.model import MidiOutlet, OscTcpOutlet, Outlet
from showcaller.run.events import Reporter


def open_outlet(outlet: Outlet, report: Reporter, term: int = 0) -> OutletPort:
    """The open port of an outlet; ``term`` is the run's, for one that carries it. Never raises for a device
    that is not there: it reports, and tries on."""
    if isinstance(outlet, MidiOutlet):
        return MidiPort(outlet, report)
    if isinstance(outlet, OscTcpOutlet):
        return TcpPort(outlet, report, term=term)
    return UdpPort(outlet, report, term=term)


__all__ = ["OutboundBatch", "OutletPort", "Reporter", "open_outlet"]
