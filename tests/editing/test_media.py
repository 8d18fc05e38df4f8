"""A reference file: its length by the file's own count of samples, its loudness where it is loud."""

import io
import wave
from fractions import Fraction

import av
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


HASTY = bytes.fromhex(
    "52494646c40f000057415645666d74201000000001000100401fc307008000000200100064617461a01c00000000240000000046"
)
"""Found by fuzzing: a WAVE header (RIFF, "fmt ") with 130,228,032 samples a second, and three of them."""


def test_a_rate_that_no_recorder_has_is_refused_before_a_filter_is_made_for_it(tmp_path):
    path = tmp_path / "hasty.wav"
    path.write_bytes(HASTY)
    with pytest.raises(MediaError) as refused:
        peaks_of(path)
    assert str(refused.value) == (
        "hasty.wav says that it has 130,228,032 samples a second; 1,000,000 are the limit: write it again"
    )


def test_a_length_of_nothing_is_no_length(tmp_path):
    (tmp_path / "hasty.wav").write_bytes(HASTY)
    with pytest.raises(MediaError, match="does not say how long it is"):
        length_of(tmp_path, "hasty.wav")


def recorded(rate: int, layout: str, level: float) -> bytes:
    """Half a second of a tone, MPEG-4 audio in ADTS (ISO/IEC 14496-3), whose frames may simply be strung."""
    into = io.BytesIO()
    with av.open(into, "w", format="adts") as container:
        stream = container.add_stream("aac", rate=rate, layout=layout)
        tone = level * np.sin(np.arange(rate // 2) * 2 * np.pi * 440 / rate)
        samples = np.tile(tone.astype(np.float32), (1 if layout == "mono" else 2, 1))
        frame = av.AudioFrame.from_ndarray(samples, format="fltp", layout=layout)
        frame.sample_rate = rate
        container.mux(stream.encode(frame))
        container.mux(stream.encode())
    return into.getvalue()


def test_two_recordings_of_different_kinds_in_one_file_are_both_heard(tmp_path):
    path = tmp_path / "both.aac"
    path.write_bytes(recorded(44100, "stereo", 0.5) + recorded(48000, "mono", 0.25))
    values = [value for _, value in peaks_of(path)]
    assert len(values) >= 18
    assert min(values[2:8]) > 0.9
    assert 0.3 < max(values[13:18]) < 0.7
