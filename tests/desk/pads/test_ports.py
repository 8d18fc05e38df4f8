"""Which output of a controller has its lights: none rather than another device's."""

from showcaller.desk.pads.ports import answering, controller_name


def test_a_name_is_the_same_whenever_it_is_plugged_in():
    assert controller_name("Pads:Pads MIDI 1 28:0") == controller_name("Pads:Pads MIDI 1 32:0")


def test_lights_go_to_the_controller_itself():
    pads = "Bridge:Pads:(capture_0) Pads MIDI 1"
    outs = ["Bridge:Through:(playback_0) Through", "Bridge:Pads:(playback_0) Pads MIDI 1"]
    assert answering(pads, outs) == outs[1]
    assert answering(pads, outs[:1]) is None
    assert (
        answering("Pads:Pads MIDI 1", ["Pads:Pads MIDI 2 28:1", "Pads:Pads MIDI 1 28:0"])
        == "Pads:Pads MIDI 1 28:0"
    )
    assert answering("Pads:out", []) is None
    assert answering("Pads:out", ["Pads-01:in", "Pads-02:in"]) is None
