"""Lines found in a track that espeak-ng speaks: in a process of its own, with limits. More in benchmarks."""

import io
import subprocess
import wave

import av
import numpy as np
import pytest
from devices import program
from scipy.signal import resample_poly

from showcaller.hearing import SURE
from showcaller.hearing.listening import LineExpected, listen
from showcaller.outside import Refused

HZ = 16_000
LINES = [
    ("s1", "Standby Lights 12 and Video 3"), ("g1", "Lights 12, Video 3, go"), ("g2", "Lights 13, go"),
    ("s2", "Standby Sound 4"), ("g3", "Sound 4, go"), ("g4", "Lights 14, Spots 2, go"),
]  # fmt: skip


def spoken(text, voice="en-us"):
    words = [program("espeak-ng"), "-v", voice, "-s", "160", "--stdout", text]
    made = subprocess.run(words, capture_output=True, check=True).stdout
    with wave.open(io.BytesIO(made)) as file:
        samples = np.frombuffer(file.readframes(file.getnframes()), np.int16).astype(np.float32) / 32768
        return resample_poly(samples, 160, file.getframerate() // 100)


@pytest.fixture(scope="module")
def track(tmp_path_factory):
    """Said: s1 g1 (talk) s2 g3; another number in g2's place; g4 not at all. A FLAC with noise at 20 dB."""
    rng, said, at_s = np.random.default_rng(3), {}, 2.0
    sound = np.zeros(40 * HZ)
    talk = "copy that I will be there in two minutes"
    for ident, text in [*LINES[:2], ("", talk), ("", "Lights 57, go"), *LINES[3:5]]:
        voice = spoken(text, "en-gb+f3" if text == talk else "en-us")
        sound[int(at_s * HZ) : int(at_s * HZ) + len(voice)] += voice
        loud = np.flatnonzero(np.abs(voice) > 0.01 * np.abs(voice).max())
        if ident:
            said[ident] = at_s + loud[-1] / HZ
        at_s += len(voice) / HZ + 1.5
    sound += rng.normal(0, np.sqrt(np.mean(sound[sound != 0] ** 2)) / 10, len(sound))
    path = tmp_path_factory.mktemp("track") / "headset.flac"
    with av.open(str(path), "w") as out:
        stream = out.add_stream("flac", rate=HZ, layout="mono")
        samples = (np.clip(sound, -1, 1) * 32767).astype(np.int16).reshape(1, -1)
        for n in range(0, samples.shape[1], 4096):
            frame = av.AudioFrame.from_ndarray(samples[:, n : n + 4096], format="s16", layout="mono")
            frame.sample_rate = HZ
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))
    return path, said


def test_what_was_said_is_found_with_its_last_word_and_nothing_else(track):
    path, said = track
    expected = [LineExpected(i, text, 3.0 + 3.0 * n) for n, (i, text) in enumerate(LINES)]
    steps = []
    found = listen(path, expected, ["Lights", "Video", "Sound", "Spots"], lambda *s: steps.append(s))
    sure = {f.id: f.ends_s for f in found if f.confidence >= SURE}
    assert set(sure) == set(said)
    assert max(abs(sure[i] - said[i]) for i in said) < 0.08
    assert steps


def test_what_is_no_sound_is_a_sentence(tmp_path):
    bad = tmp_path / "track.wav"
    bad.write_bytes(b"RIFF" + bytes(200))
    with pytest.raises(Refused, match=r"track\.wav"):
        listen(bad, [LineExpected("a", "Lights 1, go", 1.0)], ["Lights"])
