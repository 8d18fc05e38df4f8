"""One message to one outlet, outside any run: to hear in rehearsal whether the device answers."""

import queue
import time

from showcaller.engine.encode import EncodeError, encode
from showcaller.engine.outlets import OutboundBatch, open_outlet
from showcaller.model import Message, Outlet, TimecodeRate
from showcaller.run import events as ev

WAIT_S = 2.0
"""How long a device has to let a message leave."""

_ONCE = "once"


def send_once(outlet: Outlet, message: Message, rate: TimecodeRate, wait_s: float = WAIT_S) -> str:
    """Open the outlet, send, close; what came of it in one sentence. Waits up to ``wait_s``; never raises.

    That a datagram left does not say that anybody heard it.
    """
    try:
        body = encode(message, rate)
    except EncodeError as error:
        return f"not sent: {error}"
    events: queue.SimpleQueue[ev.Event] = queue.SimpleQueue()
    port = open_outlet(outlet, events.put)
    try:
        packet = port.frame(body)
        port.send(OutboundBatch(_ONCE, time.monotonic_ns(), (packet,)))
        end_s = time.monotonic() + wait_s
        while (left_s := end_s - time.monotonic()) > 0:
            try:
                event = events.get(timeout=left_s)
            except queue.Empty:
                break
            if isinstance(event, ev.MessagesSent):
                return f"sent to {outlet.name}: {len(packet)} bytes"
            if isinstance(event, ev.MessagesFailed):
                return f"not sent to {outlet.name}: {event.why}; check power, cable and address"
        return f"not sent to {outlet.name}: no answer within {wait_s:g} s; check power, cable and address"
    finally:
        port.close()
