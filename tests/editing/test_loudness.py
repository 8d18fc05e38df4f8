"""Integrated loudness: EBU's test signals, ITU-R BS.1770's own filters, a process of its own."""

import wave
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import lfilter

from showcaller.editing.loudness import loudness_of, measure
from showcaller.outside import Refused, Within

RATE = 48_000


def written(path: Path, samples: np.ndarray) -> Path:
    """16 bits, two channels alike."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(np.round(np.stack([samples] * 2, 1) * 32767).astype("<i2").tobytes())
    return path


def sine(level_dbfs: float, length_s: float) -> np.ndarray:
    return 10 ** (level_dbfs / 20) * np.sin(2 * np.pi * 1000 * np.arange(int(RATE * length_s)) / RATE)


def by_the_standard(samples: np.ndarray) -> float:
    """ITU-R BS.1770-4, annex 1, tables 1 and 2 (coefficients at 48 kHz; from memory), two channels alike."""
    shelf = lfilter(
        [1.53512485958697, -2.69169618940638, 1.19839281085285],
        [1.0, -1.69065929318241, 0.73248077421585],
        samples,
    )
    heard = lfilter([1.0, -2.0, 1.0], [1.0, -1.99004745483398, 0.99007225036621], shelf)
    block, step = int(0.4 * RATE), int(0.1 * RATE)
    power = np.array([2 * np.mean(heard[n : n + block] ** 2) for n in range(0, len(heard) - block + 1, step)])
    loud = power[-0.691 + 10 * np.log10(power + 1e-12) > -70]
    gated = loud[loud > np.mean(loud) / 10]  # 10 LU under it
    return float(-0.691 + 10 * np.log10(np.mean(gated)))


@pytest.mark.parametrize(
    ("parts", "lufs"),
    [
        # EBU Tech 3341, table 1: case 1, case 2, case 3; each within 0.1 LU.
        ([(-23, 20)], -23.0),
        ([(-33, 20)], -33.0),
        ([(-36, 10), (-23, 60), (-36, 10)], -23.0),
    ],
)
def test_the_signals_of_ebu_tech_3341_read_what_they_should(
    tmp_path: Path, parts: list[tuple[float, float]], lufs: float
) -> None:
    samples = np.concatenate([sine(*part) for part in parts])
    path = written(tmp_path / "a.wav", samples)
    assert measure(Within(), str(path), "a.wav") == pytest.approx(lufs, abs=0.1)
    assert by_the_standard(samples) == pytest.approx(lufs, abs=0.1)


def test_noise_with_a_pause_is_as_the_standards_own_filters_have_it(tmp_path: Path) -> None:
    noise = np.random.default_rng(7).normal(0, 0.05, RATE * 6)
    noise[RATE * 2 : RATE * 4] *= 0.02  # gated
    path = written(tmp_path / "n.wav", noise)
    assert measure(Within(), str(path), "n.wav") == pytest.approx(by_the_standard(noise), abs=0.1)


def test_a_file_is_measured_in_a_process_of_its_own_and_silence_is_said(tmp_path: Path) -> None:
    written(tmp_path / "still.wav", np.zeros(RATE))
    assert loudness_of("still.wav", tmp_path) == -70
    (tmp_path / "no.wav").write_bytes(b"RIFF nonsense")
    with pytest.raises(Refused, match=r"the sound of no\.wav cannot be read"):
        loudness_of("no.wav", tmp_path)
