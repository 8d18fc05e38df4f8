"""Test pictures at the wall's own pixels; as files they are what another program says they are."""

import json
import subprocess
from pathlib import Path

import cv2
import numpy as np
import pytest
from devices import program
from surface_show import surface_show
from typer.testing import CliRunner
from wall_show import wall_show

from showcaller.cli.every import app
from showcaller.desk.areas.wall.look_changes import test_look as make_test_look
from showcaller.editing import apply
from showcaller.model import write_show
from showcaller.screen.errors import ClipError
from showcaller.screen.footage import Footage
from showcaller.screen.media_check import facts_words, media_of_test
from showcaller.screen.testcards import KINDS, card_named, drawn, meant_on
from showcaller.screen.testfiles import write_test_files

WALL = wall_show().wall
assert WALL is not None


@pytest.mark.parametrize("kind", KINDS)
def test_each_is_as_large_as_the_wall(kind: str) -> None:
    assert drawn(card_named(kind), WALL).shape == (1000, 4000, 3)


def test_levels_ramp_and_edges_are_exact() -> None:
    assert np.unique(drawn(card_named("white 50 %"), WALL)).tolist() == [128]
    assert drawn(card_named("red 20"), WALL)[5, 5].tolist() == [0, 0, 51]
    ramp = drawn(card_named("ramp"), WALL)[0, :, 0].astype(int)
    assert (ramp[0], ramp[-1], set(np.diff(ramp).tolist())) == (0, 255, {0, 1})
    grid = drawn(card_named("grid"), WALL)
    # The edges of every panel, and of every input over them, on their own first and last pixels.
    assert all(grid[45, 100 * n].max() > 100 and grid[45, 100 * n + 99].max() > 100 for n in range(40))
    assert all(grid[3, 1000 * n].tolist() == [110, 230, 120] for n in range(4))
    assert grid[30:70, 20:80].max() > 200, "the panel's name"


def test_a_circle_is_round_for_the_house_where_pixels_are_not_square() -> None:
    wall = WALL.changed(width_m=20)  # twice as many px a metre across as down
    ys, xs = np.nonzero(drawn(card_named("circles"), wall)[:, :, 0] > 140)
    right = xs.max() - 2000  # the outermost of the circles touches both ends
    assert right == pytest.approx(2000, abs=60)
    middle = ys[np.abs(xs - 1000) < 3]
    assert middle.max() - middle.min() == pytest.approx(1000 * 0.98, abs=8)


def test_the_bar_moves_by_time_and_a_source_can_be_a_test_picture() -> None:
    first, later = (drawn(card_named("bar"), WALL, s)[990, :, 0] for s in (1.0, 2.0))
    assert (np.nonzero(first == 235)[0].min(), np.nonzero(later == 235)[0].min()) == (1000, 2000)
    source = wall_show().sources[0].changed(kind="generator", media="test:white 50 %")
    footage = Footage((source,), walls=(WALL,))
    shown = footage.at(source.id, 0)
    assert shown is not None
    assert shown[0].mean() == 128
    assert footage.troubles() == {}


def test_a_further_surface_has_its_own_at_its_own_pixels(tmp_path: Path) -> None:
    show = surface_show()
    left = show.surfaces[1]
    assert meant_on(show, "grid, Side left") == ("grid", left)
    assert meant_on(show, "white 50 % on side left") == ("white 50 %", left)
    assert meant_on(show, "pixel map") == ("pixel map", None)
    made, _ = apply(show, make_test_look(show, left, "Test: grid, Side left", media_of_test("grid", "left")))
    source, look = made.sources[-1], made.looks[-1]
    assert (look.layers[0].surface, source.width_px, source.height_px) == ("left", 300, 400)
    footage = Footage((source,), walls=show.surfaces)
    assert footage.at(source.id, 0)[0].shape == (400, 300, 3)
    assert facts_words(source) == "test picture: grid, of left"
    gone = Footage((source,), walls=show.surfaces[:1])
    gone.at(source.id, 0)
    assert gone.why(source.id) == "a test picture of a surface that is no more: left"
    files = list(write_test_files(show, tmp_path, "pixel map", "side left"))
    assert [f.name for f in files] == [f"{show.id}-left-pixel-map.png"]
    assert cv2.imread(str(files[0])).shape == (400, 300, 3)
    with pytest.raises(ClipError, match="no surface is called 'Floor'; there are Main wall, Side left"):
        list(write_test_files(show, tmp_path, "grid", "Floor"))


@pytest.mark.parametrize("text", ["sharpness", "white 120 %", ""])
def test_what_there_is_not_is_said(text: str) -> None:
    with pytest.raises(ClipError):
        card_named(text)


def test_they_are_written_by_the_command_line_and_ffprobe_reads_the_movie(tmp_path: Path) -> None:
    show = wall_show()
    odd = WALL.changed(
        width_px=351, height_px=87, inputs=(WALL.inputs[0].changed(width_px=351, height_px=87),)
    )
    write_show(show.changed(surfaces=[odd]), tmp_path / "show.json")
    done = CliRunner().invoke(
        app, ["test-pictures", str(tmp_path / "show.json"), "--to", str(tmp_path / "out")]
    )
    assert done.exit_code == 0, done.output
    made = {p.name: p for p in (tmp_path / "out").iterdir()}
    assert len(made) == 12
    stem = show.id
    assert cv2.imread(str(made[f"{stem}-pixel-map.png"])).shape == (87, 351, 3)
    words = [
        program("ffprobe"),
        "-v",
        "error",
        "-show_streams",
        "-of",
        "json",
        str(made[f"{stem}-black-movie.mp4"]),
    ]
    (stream,) = json.loads(subprocess.run(words, capture_output=True, check=True).stdout)["streams"]
    assert (stream["width"], stream["height"], stream["color_space"], stream["color_range"]) == (
        351,
        87,
        "bt709",
        "tv",
    )
    assert (float(stream["duration"]), stream["avg_frame_rate"]) == (10.0, "25/1")
