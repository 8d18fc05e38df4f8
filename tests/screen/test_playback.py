"""How a clip is played in a layer: where in its file it is, by time and by the song's tempo."""

from fractions import Fraction
from pathlib import Path

import pytest
from burned import make_recording, read_number
from walls import full, look, make_wall, song, to

from showcaller.model import Playback, Source
from showcaller.screen.footage import Footage
from showcaller.screen.looks import Looks, arrange
from showcaller.screen.picture import picture_at
from showcaller.screen.playback import Playing, file_s
from showcaller.screen.playwords import plays_from, plays_text
from showcaller.screen.words import WordsError
from showcaller.timing.plan import compile_item

WALL = make_wall([200, 120], 160)


def standing(*plays: Playback | None) -> Looks:
    """A look a bar 4 s at 60 a minute, each with the clip played so; the song lasts 60 s."""
    changes = [
        (Fraction(4 * n), to(f"l{n}"), look(f"l{n}", full(WALL, "clip", plays=p)), f"c{n}")
        for n, p in enumerate(plays)
    ]
    return arrange(compile_item(song(60, 60), "25"), changes)


@pytest.mark.parametrize(
    ("how", "since_s", "wanted"),
    [
        (None, 7.0, 2.0), (Playing(in_s=1.0), 0.5, 1.5), (Playing(in_s=1.0), 4.5, 1.5),
        (Playing(speed=2.0), 1.5, 3.0),
        (Playing(at_end="hold"), 99.0, 5.0), (Playing(through=2.5), 0.0, 2.5),
        (Playing(in_s=1.0, through=0.25), 9.0, 2.0), (Playing(in_s=9.0), 0.0, 4.999),
    ],
)  # fmt: skip
def test_the_place_in_a_file_of_five_seconds_that_loops(
    how: Playing | None, since_s: float, wanted: float
) -> None:
    assert file_s(how, since_s, 5.0, loops=True) == pytest.approx(wanted)


def test_a_clip_goes_on_begins_anew_or_runs_on_and_fits_its_bars() -> None:
    goes_on, anew, runs_on = Playback(), Playback(begins="anew"), Playback(begins="runs on", fit_bars=2)
    looks = standing(None, goes_on, anew, runs_on)
    assert [s.since_s for s in looks.standing] == [(0.0,), (0.0,), (8.0,), (0.0,)]
    # Two bars of 4 s after its beginning, at any speed of the file's own, it has been through once.
    (placed,) = picture_at(WALL, looks, 14.0).layers
    assert placed.plays is not None
    assert placed.plays.through == pytest.approx(14 / 8)


def test_the_frame_on_the_wall_is_that_of_the_bars(tmp_path: Path) -> None:
    make_recording(tmp_path / "a.mp4", 100, Fraction(25))
    footage = Footage((Source(id="clip", name="C", kind="clip", media="a.mp4"),), tmp_path)
    looks = standing(Playback(fit_bars=2, at_end="hold", in_s=2))
    for at_s, frame in ((0.01, 50), (4.01, 75), (7.99, 99), (9.0, 99)):
        (placed,) = picture_at(WALL, looks, at_s).layers
        shown = footage.at("clip", placed.since_s, placed.plays)
        assert shown is not None
        assert read_number(shown[0][..., ::-1]) == frame
    footage.close()


@pytest.mark.parametrize("text", ["as it is", "from 4, at 150 %, hold", "in 8 bars, loop, anew", "runs on"])
def test_what_is_typed_is_what_is_shown(text: str) -> None:
    assert plays_text(plays_from(text)) == text


@pytest.mark.parametrize("text", ["backwards", "from soon", "at 0 %", "in 9000 bars", "in 8 %"])
def test_what_means_nothing_is_refused(text: str) -> None:
    with pytest.raises(WordsError):
        plays_from(text)
