"""Sources' pictures: the exact frame of a clip on the wall, stills with opacity, cards with names."""

import random
import time
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from burned import make_recording, read_number
from walls import full, look, make_wall

from showcaller.editing.reading_media import look as read
from showcaller.model import Source
from showcaller.outside import Within
from showcaller.screen.camera import Camera
from showcaller.screen.cards import Card
from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.footage import Footage
from showcaller.screen.picture import Picture, place


def source(kind: str = "clip", **more: object) -> Source:
    return Source.model_validate({"id": "s", "name": "Søurce 1", "kind": kind, **more})


def number(footage: Footage, at_s: float) -> int:
    shown = footage.at("s", at_s)
    assert shown is not None
    return read_number(shown[0][..., ::-1])


def test_a_clip_on_the_wall_shows_the_frame_of_the_instant_and_begins_again(tmp_path: Path) -> None:
    make_recording(tmp_path / "a.mp4", 150, Fraction(25))  # long groups with B-frames
    footage = Footage((source(media="a.mp4"),), tmp_path)
    order = [*range(40), *random.Random(2).sample(range(150), 30), 149, 0]
    assert [number(footage, (n + 0.5) / 25) for n in order] == order
    assert number(footage, 6.0 + 10.5 / 25) == 10
    footage.take((source(media="a.mp4", loops=False),), tmp_path)
    assert number(footage, 60.0) == 149
    footage.close()


def test_a_file_that_stands_for_a_camera_runs_on_by_the_clock_and_begins_again(tmp_path: Path) -> None:
    make_recording(tmp_path / "a.mp4", 50, Fraction(25))
    clock = [0.0]
    for kind in ("camera", "live", "generator"):
        footage = Footage((source(kind, media="a.mp4"),), tmp_path, clock=lambda: clock[0])
        for at_s, wanted in ((10.02, 0), (10.5, 12), (11.98, 49), (12.02, 0)):
            clock[0] = at_s
            # Whenever it came on the wall.
            assert {number(footage, 0.0), number(footage, 7.0)} == {wanted}
        footage.close()


def test_the_number_can_be_read_off_the_composed_wall(tmp_path: Path) -> None:
    make_recording(tmp_path / "a.mp4", 60, Fraction(25))
    footage = Footage((source(media="a.mp4"),), tmp_path)
    wall = make_wall([160, 160], 180)
    canvas = Canvas(wall, 320, 180)
    for n in (3, 59, 0, 30):
        placed = place(wall, full(wall, "s"), "s", (n + 0.5) / 25)
        assert read_number(canvas.compose(Picture((placed,)), footage.at)[..., ::-1]) == n
    footage.close()


def test_a_still_keeps_its_opacity(tmp_path: Path) -> None:
    picture = np.zeros((20, 30, 4), np.uint8)
    picture[:, :, 2] = 200
    picture[:10, :, 3] = 255
    cv2.imwrite(str(tmp_path / "ö.png"), picture)
    shown = Footage((source("still", media="ö.png"),), tmp_path).at("s", 0)
    assert shown is not None
    pixels, alpha = shown
    assert alpha is not None
    assert tuple(pixels[5, 5]) == (0, 0, 200)
    assert (alpha[5, 5], alpha[15, 5]) == (1, 0)


@pytest.mark.parametrize(
    ("made", "why"),
    [
        (source(media="none.mp4"), "no file none.mp4"),
        (source(media="text.mp4"), "cannot be read as a video"),
        (source("still", media="text.mp4"), "cannot be read as a picture"),
        (source("camera", media="/dev/video97"), "/dev/video97"),
    ],
)
def test_what_is_not_there_is_a_card_that_says_why(tmp_path: Path, made: Source, why: str) -> None:
    (tmp_path / "text.mp4").write_text("hello")
    footage = Footage((made,), tmp_path)
    shown = footage.at("s", 0)
    assert shown is not None
    assert shown[0].std() > 5
    assert why in footage.why("s")
    footage.close()


def test_a_card_moves_and_keeps_the_sources_shape() -> None:
    card = Card(source("camera", width_px=1920, height_px=1080))
    first = card.at(0.5).copy()
    assert first.shape == (540, 960, 3)
    assert (card.at(0.6) != first).any()
    assert np.array_equal(card.at(0.5), first)
    wide = Card(source("clip", width_px=3500, height_px=875))
    assert wide.at(0).shape == (240, 960, 3)


def test_a_cameras_newest_frame_comes_by_itself(tmp_path: Path) -> None:
    """No camera is connected here, so a recording stands in for one: the same thread, the same decoder."""
    path = make_recording(tmp_path / "a.mp4", 50, Fraction(25))
    camera = Camera(str(path))
    until = time.monotonic() + 5
    while camera.frames < 3 and time.monotonic() < until:
        time.sleep(0.01)
    newest = camera.newest()
    camera.close()
    assert newest is not None
    assert 0 <= read_number(newest[..., ::-1]) < 50


def test_a_grade_is_drawn_as_its_words_say(tmp_path: Path) -> None:
    """Against the same reckoned with numpy in floating point, value by value."""
    values = np.arange(256, dtype=np.uint8)
    picture = np.stack([values, values[::-1], np.full(256, 90, np.uint8)], -1)[None].repeat(8, 0)
    cv2.imwrite(str(tmp_path / "a.png"), picture)
    grade = {"black": 0.1, "white": 0.8, "gamma": 1.4, "saturation": 0.5}
    plain, set_ = (
        Footage((source("still", media="a.png"),), tmp_path),
        Footage((source("still", media="a.png", grade=grade),), tmp_path),
    )
    before, after = plain.at("s", 0), set_.at("s", 0)
    assert before is not None
    assert after is not None
    level = np.clip((before[0] / 255 - 0.1) / 0.7, 0, 1) ** (1 / 1.4)
    grey = (level @ np.array([0.0722, 0.7152, 0.2126]))[..., None]  # BT.709 luma, blue, green, red
    wanted = (grey + (level - grey) * 0.5) * 255
    assert abs(after[0] - wanted).max() <= 1.0
    assert np.array_equal(before[0], picture), "what is not graded stays as it was"


def test_a_clip_keeps_its_opacity_and_a_changed_or_missing_file_is_said(tmp_path: Path) -> None:
    with av.open(str(tmp_path / "a.mov"), "w") as container:
        stream = container.add_stream("prores_ks", 25)
        stream.width, stream.height, stream.pix_fmt = 64, 36, "yuva444p10le"
        pixels = np.full((36, 64, 4), 128, np.uint8)
        pixels[:18, :, 3] = 255
        pixels[18:, :, 3] = 0
        frame = av.VideoFrame.from_ndarray(pixels, "rgba").reformat(format="yuva444p10le")
        frame.pts = 0
        container.mux(stream.encode(frame))
        container.mux(stream.encode())
    said = read(Within(), str(tmp_path / "a.mov"), "a.mov")
    known = source(media="a.mov", width_px=64, height_px=36, file=said)
    footage = Footage((known,), tmp_path)
    shown = footage.at("s", 0)
    assert shown is not None
    assert shown[1] is not None
    assert (round(float(shown[1][4, 4]), 2), round(float(shown[1][30, 4]), 2)) == (1, 0)
    assert footage.troubles() == {}
    footage.take((known.changed(width_px=1920, height_px=1080),), tmp_path)
    assert footage.troubles() == {}, "a smaller copy of the same shape"
    footage.take((known.changed(height_px=64),), tmp_path)
    assert footage.troubles() == {"s": "a.mov is 64 × 36 px, not 64 × 64; read it again"}
    with (tmp_path / "a.mov").open("ab") as file:
        file.write(b"more")
    assert footage.troubles() == {"s": "changed since it was read: a.mov; read it again"}
    (tmp_path / "a.mov").unlink()
    assert footage.troubles() == {"s": "no file a.mov"}
    footage.close()


def test_looks_of_nothing_known_show_nothing() -> None:
    assert Footage(()).at("s", 0) is None
    assert look("x").layers == ()
