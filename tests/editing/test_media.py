"""A reference file: its length by the file's own count of samples, its loudness where it is loud."""

import wave
from fractions import Fraction

import numpy as np
import pytest

from showcaller.editing.media import MediaError, length_of, peaks_of


@pytest.fixture
def sound(tmp_path):
    """Two seconds: silence, then a tone at half of full scale."""
    path = tmp_path / "ref.wav"
    rate = 44100
    tone = np.sin(np.arange(rate) * 2 * np.pi * 440 / rate) * 16384
    samples = np.concatenate([np.zeros(rate), tone]).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(samples.tobytes())
    return path


def test_the_length_is_that_of_the_samples(sound):
    with wave.open(str(sound)) as file:
        assert length_of(sound.parent, "ref.wav") == Fraction(file.getnframes(), file.getframerate())


def test_it_is_loud_where_the_tone_is(sound):
    peaks = peaks_of(sound)
    assert max(value for second, value in peaks if second < 0.9) < 0.01
    assert min(value for second, value in peaks if 1.1 < second < 1.9) > 0.9


@pytest.mark.parametrize(("name", "content"), [("gone.wav", None), ("text.wav", b"not a sound")])
def test_a_file_that_is_no_sound_is_one_sentence(tmp_path, name, content):
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(MediaError, match=name) as refused:
        length_of(path.parent, name)
    assert "\n" not in str(refused.value)
