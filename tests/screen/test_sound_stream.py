"""A file's sound from a place on, little by little: the same samples as reading it at once by another way."""

import wave
from pathlib import Path

import numpy as np
import pytest

from showcaller.screen.clips import read_sound
from showcaller.screen.errors import ClipError
from showcaller.screen.sound_stream import sound_stream

RATE = 48_000


@pytest.fixture(scope="module")
def chirp(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six seconds whose every place sounds otherwise, one channel."""
    path = tmp_path_factory.mktemp("sound") / "chirp.wav"
    at = np.arange(6 * RATE) / RATE
    samples = (0.5 * np.sin(2 * np.pi * (200 + 150 * at) * at) * 32767).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(samples.tobytes())
    return path


@pytest.mark.parametrize("at_s", [0.0, 0.5, 2.0, 3.33, 5.9])
def test_it_begins_at_the_sample_and_goes_on_without_a_seam(chirp: Path, at_s: float) -> None:
    blocks = list(sound_stream(chirp, at_s, RATE))
    heard = np.concatenate(blocks)
    whole = read_sound(chirp, RATE, at_s)
    assert abs(len(heard) - len(whole)) <= 1
    assert np.abs(heard[: len(whole)] - whole[: len(heard)]).max() < 2e-3
    assert max(len(block) for block in blocks) < RATE


def test_past_its_end_is_nothing_and_no_sound_is_a_sentence(chirp: Path, tmp_path: Path) -> None:
    assert list(sound_stream(chirp, 60.0, RATE)) == []
    with pytest.raises(ClipError, match="there is no"):
        next(sound_stream(tmp_path / "none.wav", 0.0, RATE))
    (tmp_path / "text.wav").write_text("no sound at all")
    with pytest.raises(ClipError, match="cannot be read"):
        next(sound_stream(tmp_path / "text.wav", 0.0, RATE))
