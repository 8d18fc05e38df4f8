"""One message outside a run, to real receivers: liblo's oscdump, a MIDI port of JACK's, and to nobody."""

from devices import free_port, wait_until

from showcaller.engine.encode import bytes_text
from showcaller.engine.sendonce import send_once
from showcaller.model import MidiNote, MidiOutlet, OscMessage, OscTcpOutlet, OscUdpOutlet

MESSAGE = OscMessage(kind="osc", outlet="desk", address="/wall/look", args=("gulls wide", 2.0))


def test_a_message_leaves_once_over_udp_and_over_tcp(oscdump):
    for protocol, kind in (("udp", OscUdpOutlet), ("tcp", OscTcpOutlet)):
        port, dump = oscdump(protocol)
        outlet = kind(kind=f"osc_{protocol}", id="desk", name="Desk", port=port)
        assert send_once(outlet, MESSAGE, "25").startswith("sent to Desk: ")
        assert wait_until(lambda dump=dump: any("/wall/look" in line for line in dump.lines()))
        assert sum("/wall/look" in line for line in dump.lines()) == 1


def test_a_dead_device_is_a_sentence_within_the_wait():
    outlet = OscTcpOutlet(kind="osc_tcp", id="desk", name="Desk", port=free_port())
    assert send_once(outlet, MESSAGE, "25", 0.5).startswith("not sent to Desk: ")


def test_a_midi_port_that_is_not_there_is_named(jack):
    outlet = MidiOutlet(kind="midi", id="m", name="Synth", port="nowhere at all")
    said = send_once(outlet, MidiNote(kind="note", outlet="m", note=60), "25", 1.0)
    assert "not sent to Synth" in said
    assert "nowhere at all" in said


def test_the_bytes_are_shown_as_they_leave():
    # OSC 1.0 specification, examples: /oscillator/4/frequency with the float 440.0.
    message = OscMessage(kind="osc", outlet="o", address="/oscillator/4/frequency", args=(440.0,))
    assert bytes_text(message, "25").startswith("32 bytes: 2F 6F 73 63 69 6C 6C 61 74 6F 72 2F 34")
    assert bytes_text(message, "25", 4) == "32 bytes: 2F 6F 73 63 …"
