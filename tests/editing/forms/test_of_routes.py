"""Routes, pedals, timecode in and speaking are typed in the window, and come back from their own words."""

from pathlib import Path

import pytest
from small_shows import item, show

from showcaller.editing import ChangeError, Put, SetFields, apply
from showcaller.editing.forms import edit_show, show_fields
from showcaller.editing.forms.of_remotes import parse_remote, remote_lines
from showcaller.editing.forms.of_routes import leave_words, parse_leg, parse_route, route_lines
from showcaller.model import Route, read_show
from showcaller.timing.walkon import plan_walk

SAMPLE = read_show(Path(__file__).parents[3] / "sample_shows" / "breakwater.json")
CLEARANCES = [{"kind": "yes", "id": "lane", "name": "Lane clear", "position": "Crowd safety"}]
BARE = show([item("s", 60, [])], clearances=CLEARANCES)


def test_every_route_and_leg_of_the_sample_comes_back_from_its_own_words():
    assert SAMPLE.routes
    for one in route_lines(SAMPLE):
        if one.list == "routes":
            part = parse_route(SAMPLE, one.text, one.id)
            made = Route.model_validate(part)
            assert made == next(r for r in SAMPLE.routes if r.id == one.id), one.text
        else:
            route = next(r for r in SAMPLE.routes if r.id == one.list.removeprefix("routes/"))
            leg = type(route.legs[0]).model_validate(parse_leg(SAMPLE, one.text))
            assert leg == route.legs[int(one.id)], one.text


def test_a_route_typed_in_one_line_has_its_legs_people_and_camera():
    text = "Crowd lane: Wing stairs 9 m, 12 stairs; Lane 54.5 m, 0.9 m/s; "
    text += "camera ahead of the band, 20 s before; Tam: torch"
    route = Route.model_validate(parse_route(BARE, text))
    assert [(leg.name, leg.length_m, leg.stairs) for leg in route.legs] == [
        ("Wing stairs", 9, 12), ("Lane", 54.5, 0),
    ]  # fmt: skip
    assert (route.legs[1].pace_m_s, route.camera, route.preroll_s) == (0.9, "ahead of the band", 20)
    assert [(p.name, p.task) for p in route.people] == [("Tam", "torch")]
    plan = plan_walk(route, 0.0)
    assert f"leave {round(-plan.leave_by_s) // 60}:{round(-plan.leave_by_s) % 60:02d} before" in leave_words(
        route
    )


def test_a_leg_has_what_it_needs_who_is_posted_and_the_channel():
    assert parse_leg(BARE, "Lane 54 m; needs Lane clear; posted Ada at the gate; radio 4") == {
        "name": "Lane", "length_m": 54.0, "clearances": ["lane"], "posted": "Ada at the gate", "radio": "4"
    }  # fmt: skip


@pytest.mark.parametrize(
    ("read", "text", "sentence"),
    [
        (parse_leg, "Lane", "needs a name and its metres"),
        (parse_leg, "Lane 5 m; needs Gate", "no clearance 'Gate' in this show; it has Lane clear"),
        (parse_leg, "Lane 54 m, Ramp 12 m", "each leg is a line of its own"),
        (parse_leg, "Lane 5 m; quickly", "give needs, posted or radio"),
        (parse_route, "Lane 5 m", "needs a name and a colon"),
        (parse_route, "Way:", "a new route needs its first leg"),
        (parse_route, "Way: Lane 5 m; Tam", "needs a name and what they do"),
        (lambda _, text: parse_remote(text), "keyboard", "is no remote"),
        (lambda _, text: parse_remote(text), "midi Foot", "a pedal needs what it does"),
        (lambda _, text: parse_remote(text), "midi Foot; note 60 dance", "is no pedal"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(read, text, sentence):
    with pytest.raises(ChangeError, match=sentence):
        read(BARE, text)


@pytest.mark.parametrize(
    "text",
    [
        "midi Foot switch, channel 2; note 60 go; control 64 standby",
        "osc 127.0.0.1:9010 from 10.0.0.7, 10.0.0.8",
    ],
)
def test_a_remote_comes_back_from_its_own_words(text):
    made, _ = apply(BARE, Put(at=("remotes",), index=0, part=parse_remote(text)))
    assert [line.text for line in remote_lines(made)] == [text]


@pytest.mark.parametrize("text", ["mtc Console", "ltc Line in, channel 2", "ltc wav:strip.wav", ""])
def test_timecode_in_is_typed_and_keeps_how_it_is_followed(text):
    chase = {"lock_frames": 6, "freewheel_s": 3}
    made, _ = apply(
        BARE, SetFields(at=(), fields={"timecode_in": {"kind": "mtc", "port": "X", "chase": chase}})
    )
    made, _ = apply(made, edit_show(made, "timecode_in", text).change)
    assert {f.key: f.text for f in show_fields(made)}["timecode_in"] == text
    assert made.timecode_in is None or made.timecode_in.chase.lock_frames == 6
    with pytest.raises(ChangeError, match="is no timecode input"):
        edit_show(made, "timecode_in", "tape")


def test_how_the_caller_speaks_is_typed():
    made = BARE
    for key, text in (
        ("words_per_minute", "170"),
        ("breath_s", "0.5"),
        ("ask_again_s", ""),
        ("ask_unsaid", "yes"),
    ):
        change = edit_show(made, key, text).change
        made = made if change is None else apply(made, change)[0]
    speaking = made.speaking
    assert (speaking.words_per_minute, float(speaking.breath_s)) == (170, 0.5)
    assert (speaking.ask_again_s, speaking.ask_unsaid) == (None, True)
    with pytest.raises(ChangeError, match="60 to 300"):
        edit_show(made, "words_per_minute", "fast")
