"""Linear timecode as samples: round trips at odd speeds, through noise, backwards, and in pieces."""

import random

import numpy as np
import pytest

from showcaller.timing.ltc import LtcDecoder, encode
from showcaller.timing.timecode import frame_number, rate_named, wrapped

LTC_RATES = ["23.976", "24", "25", "29.97 drop", "29.97", "30"]


def decoded(samples, rate, sample_rate=48_000, block=512):
    decoder = LtcDecoder(rate, sample_rate)
    found = []
    for start in range(0, len(samples), block):
        found += decoder.feed(samples[start : start + block])
    return found


def noisy(samples, snr_db, seed):
    """White noise over the whole band, ``snr_db`` under the signal."""
    power = np.mean(samples.astype(float) ** 2)
    noise = np.random.default_rng(seed).normal(0, (power * 10 ** (-snr_db / 10)) ** 0.5, len(samples))
    return (samples + noise).astype(np.float32)


@pytest.mark.parametrize("rate", LTC_RATES)
def test_the_bit_rate_is_the_standards(rate):
    # ST 12-1: 80 bits a frame, so 2,400 bits a second at 30 frames and 2,000 at 25.
    samples = encode(0, 30, rate, 48_000)
    assert len(samples) == pytest.approx(30 * 48_000 / float(rate_named(rate).fps), abs=1)
    assert samples.dtype == np.float32
    assert np.max(np.abs(samples)) == pytest.approx(0.5, abs=1e-3)
    # Biphase mark turns at the start of every bit and in the middle of every 1.
    turns = np.count_nonzero(np.diff(np.sign(samples[np.abs(samples) > 0.25])))
    assert 30 * 80 <= turns <= 30 * 160


@pytest.mark.parametrize("rate", LTC_RATES)
@pytest.mark.parametrize("speed", [0.5, 0.83, 1.0, 1.21, 2.0])
@pytest.mark.parametrize("reverse", [False, True])
def test_clean_code_is_read_whole_at_any_speed_either_way(rate, speed, reverse):
    start = frame_number("23:59:59:10", rate)
    found = decoded(encode(start, 60, rate, speed=speed, reverse=reverse), rate)
    way = -1 if reverse else 1
    # The last frame is known only when the edge after it comes; the first needs the tape's first edge.
    assert [f.frame for f in found[:58]] == [
        wrapped(start + way * (60 - len(found) - 1 + n), rate) for n in range(58)
    ]
    assert len(found) in (58, 59)
    assert all(f.reverse == reverse for f in found)
    length = 48_000 / float(rate_named(rate).fps) / speed
    for frame in found:
        assert frame.ends_at - frame.starts_at == pytest.approx(length, abs=1.5)


@pytest.mark.parametrize("seed", range(8))
def test_at_10_db_no_frame_is_wrong_and_few_are_missing(seed):
    pick = random.Random(seed)
    rate, speed, reverse = pick.choice(LTC_RATES), pick.uniform(0.5, 2), pick.random() < 0.4
    start = 100_000
    found = decoded(noisy(encode(start, 250, rate, speed=speed, reverse=reverse), 10, seed), rate)
    wanted = {start - n if reverse else start + n for n in range(250)}
    numbers = [f.frame for f in found]
    assert set(numbers) <= wanted
    assert numbers == sorted(numbers, reverse=reverse)
    assert len(numbers) > 200


@pytest.mark.parametrize("snr_db", [6, 3, 0, -3])
def test_in_worse_noise_still_no_frame_is_wrong(snr_db):
    found = decoded(noisy(encode(100_000, 300, "30"), snr_db, snr_db + 10), "30")
    assert {f.frame for f in found} <= set(range(100_000, 100_300))


def test_noise_alone_is_no_code():
    assert decoded(np.random.default_rng(3).normal(0, 0.3, 480_000), "25") == []
    assert decoded(np.zeros(48_000), "25") == []


def test_the_size_of_the_blocks_does_not_matter():
    samples = encode(5000, 40, "25", speed=0.9)
    whole = [f.frame for f in decoded(samples, "25", block=10**6)]
    for block in (64, 480, 1023):
        assert [f.frame for f in decoded(samples, "25", block=block)] == whole


@pytest.mark.parametrize("sample_rate", [44_100, 96_000])
def test_other_sample_rates(sample_rate):
    found = decoded(encode(7, 40, "29.97 drop", sample_rate), "29.97 drop", sample_rate)
    assert {f.frame for f in found} <= set(range(7, 47))
    assert len(found) >= 38


def test_user_bits_and_the_place_in_the_samples():
    silence = np.zeros(4800, dtype=np.float32)
    found = decoded(np.concatenate([silence, encode(50, 30, "25", user=0xCAFE1234), silence]), "25")
    assert {f.user for f in found} == {0xCAFE1234}
    for frame in found:
        assert frame.starts_at == pytest.approx(4800 + (frame.frame - 50) * 1920, abs=2)


def test_a_drop_out_a_jump_and_another_speed_are_got_over():
    samples = np.concatenate([
        encode(1000, 50, "25"),
        np.zeros(9600, dtype=np.float32),
        encode(9000, 50, "25", speed=0.6),
        encode(3000, 50, "25", speed=0.6, reverse=True),
    ])  # fmt: skip
    found = [f.frame for f in decoded(samples, "25")]
    assert set(found) <= {*range(1000, 1050), *range(9000, 9050), *range(2951, 3001)}
    assert len(found) > 130


def test_refusals():
    with pytest.raises(
        ValueError, match=r"linear timecode carries at most 30 frames a second, not 59.94 drop"
    ):
        LtcDecoder("59.94 drop")
    with pytest.raises(ValueError, match="0 frames cannot be encoded; give 1 or more"):
        encode(0, 0, "25")
    with pytest.raises(ValueError, match=r"speed 0.01 is out of range; give 0.05 to 20"):
        encode(0, 1, "25", speed=0.01)
    with pytest.raises(ValueError, match="level 2 is out of range; give above 0 to 1"):
        encode(0, 1, "25", level=2)
