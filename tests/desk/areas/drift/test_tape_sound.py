"""The recording's sound is heard, from where the picture is, on a real sound server (JACK's dummy)."""

import os
import subprocess
import sys
import wave
from pathlib import Path

import numpy as np
import pytest
from devices import program

from showcaller.desk.areas.drift.tape_sound import APART_S, RATE, Feed

PLAYS = """
import sys, time
from showcaller.desk.areas.drift.tape_sound import TapeSound
begun = time.monotonic()
sound = TapeSound()
sound.play(sys.argv[1], lambda: 1.0 + time.monotonic() - begun if time.monotonic() - begun < 2.5 else None)
time.sleep(3.5)
print(sound.trouble or "heard")
"""


def test_sound_behind_its_picture_leaves_out_and_ahead_of_it_waits() -> None:
    feed = Feed(10.0)
    feed.put(np.arange(1, RATE + 1, dtype=np.float32))
    assert feed.take(4, 10.0 + APART_S - 0.001).tolist() == [1, 2, 3, 4]
    assert feed.take(2, 10.25)[0] == 0.25 * RATE + 1  # a quarter of a second of it was missed
    waits = feed.take(9600, 10.15)
    assert (waits[:4799].max(), waits[4802]) == (0, 0.25 * RATE + 3)
    assert feed.take(8, 99.0).tolist() == [0] * 8  # nothing is read so far yet
    feed.close()
    assert not feed.put(np.zeros(1, np.float32))


@pytest.mark.system
def test_it_is_heard_from_where_the_picture_is_and_ends_with_it(jack: dict[str, str], tmp_path: Path) -> None:
    """A second each of 500, 1000, 2000 and 4000 Hz, played from 1 s for 2.5 s, as JACK's recorder has it."""
    tape, heard = tmp_path / "tape.wav", tmp_path / "heard.wav"
    at = np.arange(RATE) / RATE
    tones = np.concatenate([0.5 * np.sin(2 * np.pi * f * at) for f in (500, 1000, 2000, 4000)])
    with wave.open(str(tape), "wb") as file:
        file.setparams((1, 2, RATE, 0, "NONE", ""))
        file.writeframes((tones * 32767).astype("<i2").tobytes())
    env = {**os.environ, **jack, "PYTHONWARNINGS": "error"}
    player = subprocess.Popen(
        [sys.executable, "-c", PLAYS, str(tape)],
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    port = _port_of(program("jack_lsp"), env, player)
    if port is None:
        words = f"PortAudio plays nothing here: {player.communicate()[0].strip()}"
        pytest.fail(words) if os.environ.get("CI") else pytest.skip(words)
    subprocess.run(
        [program("jack_rec"), "-f", str(heard), "-d", "3", "-b", "16", port], env=env, capture_output=True,
        check=False, timeout=20,
    )  # fmt: skip
    assert player.communicate(timeout=20)[0].strip().endswith("heard")
    with wave.open(str(heard)) as file:
        samples = np.frombuffer(file.readframes(file.getnframes()), "<i2") / 32768
    assert _seconds_of(samples, 500) == 0
    assert 0.6 < _seconds_of(samples, 2000) <= 1.1  # a machine that is busy elsewhere leaves out some
    assert 0.1 < _seconds_of(samples, 4000) < 0.75  # it stops with the picture


def _port_of(lsp: str, env: dict[str, str], player: "subprocess.Popen[str]") -> str | None:
    while player.poll() is None:
        ports = subprocess.run([lsp], env=env, capture_output=True, text=True, check=False).stdout.split("\n")
        for port in ports:
            if ":out_" in port and "system" not in port:
                return port
    return None


def _seconds_of(samples: "np.ndarray[tuple[int], np.dtype[np.float64]]", hertz: float) -> float:
    """For how long a tone is the loudest thing, in pieces of 20 ms."""
    piece = RATE // 50
    found = 0
    for n in range(len(samples) // piece):
        part = samples[n * piece : (n + 1) * piece]
        if np.abs(part).max() > 0.2:
            spectrum = np.abs(np.fft.rfft(part * np.hanning(piece)))
            found += abs(float(np.fft.rfftfreq(piece, 1 / RATE)[spectrum.argmax()]) - hertz) < 60
    return found / 50
