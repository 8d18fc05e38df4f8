"""Small pictures of a recording: the key frame before any instant, made once, within a limit."""

from fractions import Fraction
from pathlib import Path

import pytest
from burned import make_recording

from showcaller.screen.clips import Clip
from showcaller.screen.errors import ClipError
from showcaller.screen.proxies import kept_proxies, make_proxies, make_room

RATE = 25


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Forty seconds with a key frame every ten."""
    return make_recording(tmp_path_factory.mktemp("tape") / "night.mp4", 40 * RATE, Fraction(RATE))


def test_whatever_is_asked_for_the_key_frame_before_it_is_there(recording: Path, tmp_path: Path) -> None:
    shares: list[float] = []
    path = make_proxies(recording, tmp_path, lambda share: shares.append(share) is None)
    assert path is not None
    assert kept_proxies(recording, tmp_path) == path
    assert shares == sorted(shares)
    with Clip(path) as small, Clip(recording) as large:
        for at_s in (0.0, 3.3, 9.99, 10.0, 27.5, 39.9):
            shown, whole = small.frame_at(at_s), large.frame_at(at_s)
            assert 0 <= whole.at_s - shown.at_s <= 10
            assert float(shown.at_s) == at_s // 10 * 10
            assert shown.pixels.shape[1] == 480


def test_it_is_made_once_stopped_leaves_nothing_and_another_file_has_its_own(
    recording: Path, tmp_path: Path
) -> None:
    assert make_proxies(recording, tmp_path, lambda _share: False) is None
    assert list(tmp_path.iterdir()) == []
    path = make_proxies(recording, tmp_path, lambda _share: True)
    assert make_proxies(recording, tmp_path, lambda _share: False) == path, "it was there already"
    other = tmp_path / "other.mp4"
    other.write_bytes(recording.read_bytes())
    assert make_proxies(other, tmp_path, lambda _share: True) != path


def test_the_ones_longest_not_looked_at_go_first(tmp_path: Path) -> None:
    import os

    made = []
    for n in range(4):
        path = tmp_path / f"{n}.mkv"
        path.write_bytes(b"x" * 100)
        os.utime(path, (n, n))
        made.append(path)
    make_room(tmp_path, 250, made[0])
    assert [p.name for p in made if p.exists()] == ["0.mkv", "3.mkv"]


def test_what_is_no_recording_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(ClipError, match="there is no"):
        make_proxies(tmp_path / "nothing.mp4", tmp_path, lambda _share: True)
    (tmp_path / "words.mp4").write_text("no video")
    with pytest.raises(ClipError, match="cannot be made"):
        make_proxies(tmp_path / "words.mp4", tmp_path, lambda _share: True)
