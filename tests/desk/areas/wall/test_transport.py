"""The item moved along as in an edit room: frames, seconds, a loop, a shuttle; its sound drawn."""

import numpy as np
import pytest
from wall_desk import seek

from showcaller.desk.areas.wall.graph import wave_image
from showcaller.desk.areas.wall.rehearsal import SHUTTLE, Rehearsal


def test_a_loop_comes_back_to_its_start_and_is_counted() -> None:
    playing = Rehearsal("a", from_s=10.0, since_s=100.0, playing=True, loop=(8.0, 12.0))
    assert [playing.at_s(100 + t, 60) for t in (0, 1.5, 2, 3, 7)] == [10, 11.5, 8, 9, 9]
    assert [playing.rounds(100 + t) for t in (0, 1.9, 2, 6)] == [0, 0, 1, 2]
    playing.seek(20.0, 200.0)  # beside the loop it is none
    assert (playing.at_s(203, 60), playing.rounds(203)) == (23, 0)


def test_a_shuttle_goes_through_its_speeds_and_keeps_its_place() -> None:
    moving = Rehearsal("a", from_s=30.0)
    assert [moving.shuttle(1, 0, 60) for _ in range(3)] == [1, 2, 4]
    assert moving.at_s(2.0, 60) == 38
    assert [moving.shuttle(-1, 2.0, 60) for _ in range(4)] == [2, 1, 0, -1]
    assert moving.at_s(5.0, 60) == 35
    assert moving.at_s(99.0, 60) == 0
    assert [moving.shuttle(-1, 5.0, 60) for _ in range(9)][-1] == SHUTTLE[0]
    moving.toggle(6.0, 60)
    moving.toggle(6.0, 60)
    assert moving.speed == 1


def test_every_item_is_found_where_it_was_left() -> None:
    at = Rehearsal("a", from_s=30.0)
    at.choose("b")
    assert at.from_s == 0
    at.seek(12.0, 5.0)
    at.choose("a")
    assert at.from_s == 30
    at.choose("b")
    assert at.from_s == 12


def test_loudness_is_drawn_where_it_is_heard(qapp) -> None:
    peaks = tuple((n / 20, 1.0 if 40 <= n < 60 else 0.1) for n in range(200))
    image = wave_image(peaks, 0.0, 10.0, 100, 40)
    tall = [sum(image.pixelColor(x, y).alpha() > 0 for y in range(40)) for x in (5, 25, 95)]
    assert tall[1] == 40
    assert max(tall[0], tall[2]) <= 5
    assert np.array_equal(wave_image(peaks, 2.0, 10.0, 100, 40).pixelColor(5, 1).alpha() > 0, True)


def test_frames_seconds_and_the_section_by_keys(desk) -> None:
    state = desk.wall.state
    seek(desk, 33.01)
    desk.wall.perform("frame_on")
    desk.frame()
    assert state.scene.at_s == pytest.approx(33.04)  # a whole frame of 25
    for name in ("frame_back", "frame_back", "second_on"):
        desk.wall.perform(name)
        desk.frame()
    assert state.scene.at_s == pytest.approx(33.96)
    desk.wall.perform("loop")
    assert state.rehearsal.loop == (32.0, 120.0)  # the chorus, to the end
    assert desk.wall.said.words == "loop: Chorus"
    desk.wall.perform("shuttle_back")
    desk.frame()
    assert (state.rehearsal.speed, state.scene.moving) == (-1, True)
    desk.wall.perform("loop")
    assert state.rehearsal.loop is None
    desk.wall.perform("item_after")
    assert desk.wall.screen_.loading is False
    desk.frame()
    desk.wall.settle()
