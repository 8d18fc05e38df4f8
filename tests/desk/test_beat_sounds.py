"""The last beats in the ear: each once, in time, never while held; a file a beat where they are given."""

import json
import wave

import pytest
from books import view_at
from played import Played
from small_shows import cue, item, show

from showcaller.desk.beat_sounds import BeatSounds, click, read_sound
from showcaller.values import replace


def song():
    """120 bpm: the go of bar 9 falls at 16 s, its last beats half a second apart."""
    bar = {"at": "bar", "bar": 9, "beat": 1}
    return show([item("s", 60, [cue("a", "1", bar)], tempo=[{"bar": 1, "bpm": 120}])])


def written(path, *samples, rate_hz=8000, width=2):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(width)
        file.setframerate(rate_hz)
        file.writeframes(b"".join(int(s * 32767).to_bytes(width, "little", signed=True) for s in samples))


def test_each_of_the_last_beats_is_heard_once_and_in_time():
    run = Played(song())
    run.go(0)
    beats, heard = BeatSounds(None), []
    for n in range(1000, 1620):
        t_s = n / 100
        left = beats.due(view_at(run, t_s), 0.0)
        if left is not None:
            heard.append((left, t_s))
    assert [left for left, _ in heard] == [4, 3, 2, 1]
    # Half a second a beat at 120 to the minute, found at the frame after it.
    assert [t_s for _, t_s in heard] == [pytest.approx(at_s, abs=0.011) for at_s in (14, 14.5, 15, 15.5)]


def test_not_while_held_nor_for_a_go_that_has_just_become_the_next():
    run = Played(song())
    run.go(0)
    view = view_at(run, 13.9)
    beats = BeatSounds(None)
    assert beats.due(replace(view, held_s=1.0), 0.0) is None
    assert beats.due(view, 0.2) is None, "nobody has counted up to it"
    assert beats.due(view, 0.7) == 3


def test_it_is_off_unless_asked_for_and_says_why_it_cannot_be_had(tmp_path):
    assert BeatSounds(tmp_path).trouble is None
    settings = tmp_path / "settings.json"
    settings.write_text(json.dumps({"beats": "no such headset"}))
    assert BeatSounds(tmp_path).trouble.startswith("no beats in the ear: ")
    settings.write_text(json.dumps({"beats": "", "beat_sounds": ["gone.wav"]}))
    assert BeatSounds(tmp_path).trouble is None


def test_a_file_a_beat(tmp_path):
    for n, name in enumerate(["four", "three", "two", "one"]):
        written(tmp_path / f"{name}.wav", n / 8, rate_hz=8000 + n)
    names = ["four.wav", "three.wav", "two.wav", "one.wav"]
    (tmp_path / "settings.json").write_text(json.dumps({"beats": "x", "beat_sounds": names}))
    beats = BeatSounds(tmp_path)
    assert [beats.sound(left)[1] for left in (4, 3, 2, 1)] == [8000, 8001, 8002, 8003]
    (tmp_path / "settings.json").write_text(json.dumps({"beats": "x", "beat_sounds": ["gone.wav"]}))
    assert BeatSounds(tmp_path).sound(1) == click(1760.0), "a click instead"


def test_what_is_no_wav_of_16_bits_is_said(tmp_path):
    written(tmp_path / "eight.wav", 0.001, width=1)
    with pytest.raises(ValueError, match="8 bits"):
        read_sound(tmp_path / "eight.wav")
    (tmp_path / "not.wav").write_text("hello")
    with pytest.raises((wave.Error, EOFError)):
        read_sound(tmp_path / "not.wav")


def test_a_click_is_short_and_begins_and_ends_in_silence():
    samples, rate_hz = click(880.0)
    assert len(samples) < 0.05 * rate_hz
    assert abs(samples[0]) < 1e-6
    assert abs(samples[-1]) < 2e-2
