"""The run's term in a message, read by python-osc, which is not what puts it there."""

import pytest
from pythonosc.osc_message import OscMessage as Read

from showcaller.editing.forms import of_setup
from showcaller.engine.encode import encode
from showcaller.engine.outlets.termed import with_term
from showcaller.engine.outlets.udp import UdpPort
from showcaller.model import OscMessage, OscUdpOutlet


@pytest.mark.parametrize("args", [(), (1,), (1, "two"), (1.5, 2, "x", 4), ("a" * 7,), (True, 3)])
def test_it_is_the_last_argument_whatever_stands_before(args):
    for address in ("/a", "/go", "/abc", "/wall/look"):
        body = encode(OscMessage(kind="osc", outlet="u", address=address, args=args))
        read = Read(with_term(body, 70_000))
        assert (read.address, read.params) == (address, [*Read(body).params, 70_000])


def test_an_output_carries_it_only_if_the_show_wants_it():
    body = encode(OscMessage(kind="osc", outlet="u", address="/go"))
    for wants in (False, True):
        outlet = OscUdpOutlet(kind="osc_udp", id="u", name="U", port=9, term=wants)
        port = UdpPort(outlet, lambda _: None, term=3)
        assert Read(port.frame(body)).params == ([3] if wants else [])
        port.close()


def test_it_is_typed_after_the_address():
    part = of_setup._read_outlet("Wall: osc udp 10.0.0.5:9000 term muted")
    assert (part["term"], part["muted"]) == (True, True)
    assert of_setup._outlet(OscUdpOutlet(**part, id="w")) == "Wall: osc udp 10.0.0.5:9000 term muted"
