"""Where a song needs too many channels: the place, the cause, and remedies that really make it fit."""

import json

from small_shows import cue, document, item

from showcaller.model import Show, parse_show
from showcaller.screen.advice import budget
from showcaller.screen.channels import levels, spans
from showcaller.screen.looks import looks_of
from showcaller.timing.plan import compile_plan

WALL = {
    "width_m": 40, "height_m": 10, "width_px": 4000, "height_px": 1000, "panel_px": [100, 100], "channels": 8,
    "inputs": [
        {"id": f"i{n}", "name": name, "x_px": n * 1000, "y_px": 0, "width_px": 1000, "height_px": 1000}
        for n, name in enumerate("ABCD")
    ],
}  # fmt: skip
WIDE = {1: 2000, 3: 4000}
SOURCES = [
    {"id": f"cam-{n}", "name": f"CAM {n}", "kind": "camera", "width_px": WIDE.get(n, 1000), "height_px": 1000}
    for n in range(1, 8)
]
"""Each with the pixels of the inputs it is put over."""


def layer(source: str, left: float, width: float, **more: object) -> dict[str, object]:
    return {"source": source, "left_m": left, "bottom_m": 0, "width_m": width, "height_m": 10, **more}


def a_show(channels: int, *changes: tuple[int, str, str, float], looks: dict[str, list[object]]) -> Show:
    """``changes`` are (bar, look, by, beats)."""
    cues = [
        cue(f"v{n}", str(n + 1), {"at": "bar", "bar": bar}, "video",
            look={"look": name, "by": by, "beats": beats})
        for n, (bar, name, by, beats) in enumerate(changes)
    ]  # fmt: skip
    sections = [{"name": "verse 1", "bar": 1}, {"name": "bridge", "bar": 79}]
    song = item("iron", 240, cues, tempo=[{"bar": 1, "bpm": 120}], sections=sections)
    made = [{"id": k, "name": k.replace("-", " "), "layers": v} for k, v in looks.items()]
    wall = {**WALL, "channels": channels}
    return parse_show(json.dumps(document([song], wall=wall, sources=SOURCES, looks=made)))


PORTRAITS = [layer("cam-1", 0, 20), layer("cam-2", 20, 10), layer("cam-6", 30, 10)]
FULL_FACE = [layer("cam-3", 0, 40), layer("cam-4", 5, 10)]


def test_the_sentence_names_place_cause_and_what_makes_it_fit() -> None:
    show = a_show(
        9, (1, "portraits", "cut", 0), (81, "full-face", "mix", 8),
        looks={"portraits": PORTRAITS, "full-face": FULL_FACE},
    )  # fmt: skip
    found = budget(show, looks_of(compile_plan(show), 0))
    assert found.most == 10
    (shortage,) = found.shortages
    assert (shortage.start_s, shortage.end_s, shortage.needed) == (160, 164, 10)
    assert shortage.sentence == (
        "Bridge, bar 81: one channel short while “portraits” mixes into “full face”. "
        "A cut there or taking CAM 1 off or taking CAM 2 off makes it fit."
    )


def test_every_remedy_makes_it_fit() -> None:
    show = a_show(
        9, (1, "portraits", "cut", 0), (81, "full-face", "mix", 8),
        looks={"portraits": PORTRAITS, "full-face": FULL_FACE},
    )  # fmt: skip
    goes = a_show(9, (1, "portraits", "cut", 0), (81, "full-face", "mix", 8),
                  looks={"portraits": [*PORTRAITS[:2], {**PORTRAITS[2], "straight": True}],
                         "full-face": FULL_FACE})  # fmt: skip
    # Straight is no help to what goes: while it is mixed out it is processed all the same.
    assert budget(goes, looks_of(compile_plan(goes), 0)).shortages
    under = layer("cam-6", 30, 10)
    other = {
        "cut": a_show(9, (1, "portraits", "cut", 0), (81, "full-face", "cut", 0),
                      looks={"portraits": PORTRAITS, "full-face": FULL_FACE}),
        "straight": a_show(9, (1, "portraits", "cut", 0), (81, "full-face", "mix", 8),
                           looks={"portraits": [*PORTRAITS[:2], {**under, "straight": True}],
                                  "full-face": [*FULL_FACE, {**under, "straight": True}]}),
    }  # fmt: skip
    assert budget(show, looks_of(compile_plan(show), 0)).shortages
    for mended in other.values():
        assert budget(mended, looks_of(compile_plan(mended), 0)).shortages == ()


def test_a_look_that_never_fits_is_said_to_stand_too_wide() -> None:
    show = a_show(3, (1, "full-face", "cut", 0), looks={"full-face": FULL_FACE})
    found = budget(show, looks_of(compile_plan(show), 0))
    (shortage,) = found.shortages
    assert "three channels short while “full face” stands" in shortage.sentence
    assert shortage.remedies[0] == "CAM 3 direct to A, B, C and D"


def test_two_things_together_where_one_is_not_enough() -> None:
    looks = {"a": [layer("cam-1", 1, 38), layer("cam-2", 2, 37), layer("cam-3", 3, 36)]}
    show = a_show(5, (1, "a", "cut", 0), looks=looks)
    (shortage,) = budget(show, looks_of(compile_plan(show), 0)).shortages
    assert shortage.remedies == ("taking CAM 1 off together with taking CAM 2 off",)


def test_overrides_change_a_look_in_one_place_only() -> None:
    show = a_show(8, (1, "full-face", "cut", 0), looks={"full-face": FULL_FACE})
    (song,) = show.items
    first = song.cues[0]
    change = first.look.changed(overrides=({"layer": "cam-4", "hidden": True},))
    mended = show.changed(items=(song.changed(cues=(first.changed(look=change),)),))
    wall = show.wall
    assert wall is not None
    for one, count in ((show, 6), (mended, 4)):
        looks = looks_of(compile_plan(one), 0)
        assert max(x.count for x in levels(spans(wall, looks), looks.length_s)) == count
