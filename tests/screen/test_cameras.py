"""Cameras over a song: shots typed, who is busy, what is said, what cannot be; the operators' papers."""

import subprocess
from pathlib import Path

import pytest
from devices import program
from wall_show import wall_show

from showcaller.editing import ChangeError, apply
from showcaller.model import Show
from showcaller.screen.camera_sheets import write_camera_sheets
from showcaller.screen.cameras import (
    camera_calls,
    camera_conflicts,
    cameras_now,
    shot_change,
    shot_text,
    shots_of,
)
from showcaller.screen.looks import looks_of
from showcaller.screen.picture import picture_at
from showcaller.timing.plan import compile_plan


def typed(*lines: str) -> Show:
    show = wall_show()
    for line in lines:
        show, _ = apply(show, shot_change(show, "gulls", None, line)[1])
    return show


SHOTS = ("1, 9-16: gate; 85 mm; hold", "Roof camera, 17-32: roofs", "hand, bars 17 to 40: hands; -; push in")


def test_what_is_typed_is_what_is_shown_and_what_means_nothing_is_refused() -> None:
    show = typed(*SHOTS)
    texts = [shot_text(show, s) for s in shots_of(compile_plan(show).items[0])]
    assert texts == ["1, 9-16: gate; 85 mm; hold", "2, 17-32: roofs", "3, 17-40: hands; -; push in"]
    for text in texts:
        assert shot_change(show, "gulls", None, text)[1].part  # type: ignore[union-attr]
    for text, why in (
        ("9, 1-2: x", "'9' is not one of the cameras; there are 1 Gate camera"), ("1: wide", "a shot: type"),
        ("1, 9-3: wide", "cannot end in bar 3"), ("camera, 1-2: x", "is not one of the cameras"),
    ):  # fmt: skip
        with pytest.raises(ChangeError, match=why):
            shot_change(show, "gulls", None, text)
    with pytest.raises(ChangeError, match="give it a tempo"):
        shot_change(show, "lamps", None, SHOTS[0])


def test_who_is_on_next_ready_or_free() -> None:
    show = typed(*SHOTS)
    plan = compile_plan(show)
    planned, looks, wall = plan.items[0], looks_of(plan, 0), show.wall
    assert wall is not None

    def now(at_s: float) -> list[tuple[str, str]]:
        on = picture_at(wall, looks, at_s).sources
        return [(c.state, c.words) for c in cameras_now(show, planned, looks, at_s, on)]

    # Bars of 2 s: the wide look with the gate camera at bar 9 (16 s), the faces at bar 17 (32 s).
    assert now(10.0) == [("next", "in 0:06"), ("free", "free until bar 17"), ("free", "free until bar 17")]
    assert now(31.0) == [("on", "on the wall"), ("next", "in 0:01"), ("next", "in 0:01")]
    assert now(75.0) == [("on", "on the wall"), ("free", "free"), ("ready", "ready, to bar 40")]


def test_what_is_said_and_what_cannot_be() -> None:
    show = typed(*SHOTS)
    plan = compile_plan(show)
    calls = [(c.at_s, c.text) for c in camera_calls(show, plan.items[0], looks_of(plan, 0))]
    assert calls == [
        (8, "Ready 1, gate, 85 mm"), (16, "Take 1"), (24, "Ready 2, roofs, 3, hands"), (32, "Take 2 and 3"),
        (56, "Ready 1"), (64, "Take 1"),
    ]  # fmt: skip
    wrong = camera_conflicts(show, plan.items[0], looks_of(plan, 0))
    assert wrong == (
        "camera 1 (Gate camera) comes on the wall at bar 33 with “One face” and has no shot there; give it "
        "one, or change the look",
    )
    twice = typed(*SHOTS, "2, 30-34: sky")
    found = camera_conflicts(twice, compile_plan(twice).items[0], looks_of(compile_plan(twice), 0))
    assert any("two shots at once: “roofs” to bar 32 and “sky” from bar 30" in s for s in found)
    assert camera_conflicts(wall_show(), compile_plan(wall_show()).items[0], looks_of(plan, 0)) == ()


def test_an_operators_paper_has_the_shots_and_when_the_camera_is_on(tmp_path: Path) -> None:
    made = write_camera_sheets(typed(*SHOTS), tmp_path, "edition 3")
    assert [p.name[-9:] for p in made] == ["amera.pdf"] * 3
    words = [program("pdftotext"), "-layout", str(made[0]), "-"]
    text = " ".join(subprocess.run(words, capture_output=True, check=True, text=True).stdout.split())
    assert "camera 1, Gate camera" in text
    assert "9–16 gate 85 mm hold" in text
    assert "33 ON THE WALL, “One face” by mix" in text
