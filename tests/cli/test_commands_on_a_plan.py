"""The command line on a plan: what it prints, and one sentence for whatever is wrong."""

import json

import mido
import pytest
from small_shows import cue, document, follow, item
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.resources import sample

SAMPLE = str(sample("breakwater.json"))


def run(*args):
    return CliRunner().invoke(app, [str(a) for a in args])


def written(tmp_path, doc):
    path = tmp_path / "show.json"
    path.write_text(doc if isinstance(doc, str) else json.dumps(doc))
    return path


def test_a_good_show_has_no_problem():
    done = run("check", SAMPLE)
    assert done.exit_code == 0
    assert "19 items, 298 cues, no problem" in done.stderr


@pytest.mark.parametrize(
    ("cues", "sentence"),
    [
        ([cue("a", "1", 99)], "falls 99 s into the item, past its end at 10 s"),
        ([follow("a", "1", "b", 1), follow("b", "2", "a", 1)], "cues follow each other in a circle"),
    ],
)
def test_what_cannot_be_run_is_a_line_each_and_exit_one(tmp_path, cues, sentence):
    done = run("check", written(tmp_path, document([item("s", 10, cues)])))
    assert done.exit_code == 1
    assert sentence in done.stdout


MMC = {"kind": "mmc", "outlet": "midi", "command": "locate"}
MSC = {"kind": "msc", "outlet": "midi", "command": "timed_go", "cue": "1"}


@pytest.mark.parametrize(
    ("rate", "message", "sentence"),
    [
        ("25", MMC | {"time": "99:00:00:00"}, "timecode 99:00:00:00 has 99 hours; give hours from 00 to 23"),
        ("25", MMC | {"time": "01:00:00:29"}, "timecode 01:00:00:29 has frame 29, too high at 25"),
        ("25", MSC | {"time": "24:00:00:00"}, "timecode 24:00:00:00 has 24 hours"),
        ("29.97 drop", MMC | {"time": "00:01:00:00"}, "its label is dropped; give 00:01:00;02"),
        ("25", MMC, "a Machine Control 'locate' needs a time"),
        (
            "25",
            {"kind": "osc", "outlet": "osc", "address": "/x", "args": [2**31]},
            "too large for its OSC type",
        ),
        (
            "25",
            {"kind": "osc", "outlet": "osc", "address": "/x", "args": [{"tag": "b", "value": "x"}]},
            "'b'",
        ),
    ],
)
def test_what_cannot_be_sent_is_a_line_before_the_night(tmp_path, rate, message, sentence):
    doc = document([item("s", 10, [cue("a", "1", 2, messages=[message])])], timecode_rate=rate)
    doc["outlets"] = [
        {"kind": "midi", "id": "midi", "name": "MIDI", "port": "x"},
        {"kind": "osc_udp", "id": "osc", "name": "OSC", "host": "127.0.0.1", "port": 9},
    ]
    path = written(tmp_path, doc)
    done = run("check", path)
    assert done.exit_code == 1, done.stderr
    assert sentence in done.stdout
    assert done.stdout.startswith("items[0] S: cues[0].messages[0]: Lights 1: ")


def test_a_frame_of_29_can_be_sent_where_there_is_one(tmp_path):
    doc = document(
        [item("s", 10, [cue("a", "1", 2, messages=[MMC | {"time": "23:59:59:29"}])])], timecode_rate="30"
    )
    doc["outlets"] = [{"kind": "midi", "id": "midi", "name": "MIDI", "port": "x"}]
    assert run("check", written(tmp_path, doc)).exit_code == 0


def unknown_outlet():
    message = {"kind": "osc", "outlet": "nowhere", "address": "/x"}
    return document([item("s", 10, [cue("a", "1", 0, messages=[message])])])


@pytest.mark.parametrize(
    ("doc", "sentence"),
    [
        ('{"format": "showcaller/show", "items": [', "it ends too early"),
        ("hello", "is not a show document: it is not JSON at all"),
        (document([item("s", 10, [cue("a", "1", 0), cue("b", "1", 2)])]), "Lights 1 is used already by"),
        (unknown_outlet(), "no outlet 'nowhere' in this show"),
    ],
)
def test_what_cannot_be_read_is_one_sentence_and_stays_as_it_is(tmp_path, doc, sentence):
    path = written(tmp_path, doc)
    before = path.read_bytes()
    for command in (["check"], ["calls"], ["forecast"], ["run", "--headless"]):
        done = run(*command, path)
        assert done.exit_code == 2, command
        assert sentence in done.stderr
        assert "Traceback" not in done.stderr
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["show.json"]


def test_a_file_that_is_not_there_and_a_folder_are_sentences(tmp_path):
    assert "no such file or directory" in run("check", tmp_path / "gone.json").stderr
    assert "is a folder" in run("check", tmp_path).stderr


def test_the_call_script_holds_every_go_for_people_and_for_scripts():
    text = run("calls", SAMPLE).stdout
    assert "Lights 1, Video 1, Sound 1, Deck 1 — go" in text
    items = json.loads(run("calls", SAMPLE, "--json").stdout)
    assert len(items) == 19
    first = [line for line in items[0]["lines"] if line["what"] == "go"][0]  # noqa: RUF015 - read aloud
    assert first["text"] == "Lights 1, Video 1, Sound 1, Deck 1, go"
    assert first["lands_s"] == 0


def test_the_forecast_says_what_to_leave_out():
    assert (
        "28:48 in hand" in run("forecast", SAMPLE).stdout
        or "make curfew 23:00" in run("forecast", SAMPLE).stdout
    )
    late = json.loads(run("forecast", SAMPLE, "--starts", "21:20", "--json").stdout)
    assert late["p_make"] < 0.15
    assert late["cut"]
    wrong = run("forecast", SAMPLE, "--starts", "late")
    assert (wrong.exit_code, "give hh:mm" in wrong.stderr) == (2, True)


def test_a_midi_files_tempo_comes_out_as_a_song_has_it(tmp_path):
    # mido writes the file; 500,000 µs a quarter is 120 a minute (SMF 1.0), 3/4 from bar 3 on.
    song = mido.MidiFile(ticks_per_beat=480)
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("set_tempo", tempo=500_000, time=0))
    track.append(mido.MetaMessage("marker", text="Verse", time=0))
    track.append(mido.MetaMessage("time_signature", numerator=3, denominator=4, time=2 * 4 * 480))
    track.append(mido.MetaMessage("set_tempo", tempo=400_000, time=3 * 480))
    song.tracks.append(track)
    song.save(tmp_path / "song.mid")
    found = json.loads(run("tempo", tmp_path / "song.mid").stdout)
    assert found["tempo"] == [{"bar": 1, "bpm": 120}, {"bar": 4, "bpm": 150}]
    assert {"bar": 3, "meter": "3/4"} in found["meters"]
    assert found["sections"] == [{"name": "Verse", "bar": 1}]
    broken = run("tempo", written(tmp_path, "x"))
    assert (broken.exit_code, "not a MIDI file" in broken.stderr) == (2, True)


def test_the_wind_estimate_comes_with_its_formula_and_caution():
    text = run("wind", "--area", 10, "--mass", 1000, "--arm", 2, "--base", 2).stdout
    for wanted in ("About 20.3 m/s", "0.613", "safety factor of 1.5", "licensed engineer decide"):
        assert wanted in text
    none = run("wind", "--area", 10, "--mass", 0, "--arm", 2, "--base", 2)
    assert (none.exit_code, none.stderr.strip()) == (2, "mass_kg is 0.0; give a number above zero")


def test_the_wall_says_what_does_not_fit_and_its_figures(tmp_path):
    from wall_show import wall_show

    from showcaller.model import write_show

    path = tmp_path / "wall.json"
    write_show(wall_show(), path)
    done = run("wall", path)
    assert done.exit_code == 0, done.stderr
    assert "Gulls: at most 8 of 6 channels" in done.stdout
    assert "bar 33: two channels short while “Faces” mixes into “One face”" in " ".join(done.stdout.split())
    assert "pixel pitch: 10.00 mm" in run("wall", path, "--facts").stdout


def test_what_was_shown_is_told_from_the_log(tmp_path):
    from wall_show import wall_show

    from showcaller.model import write_show

    path = tmp_path / "wall.json"
    write_show(wall_show(), path)
    assert run("run", path, "--headless", "--speed", 60, "--seed", 1).exit_code == 0
    done = run("shown", tmp_path / "wall.tour", "--section", "chorus")
    text = " ".join(done.stdout.split())
    assert text.startswith("Chorus of Gulls:")
    assert "“Faces” from Gulls, bar 1" in text
    assert ", by cut Hand camera · 20 × 10 m at 20, 0 (there at Gulls, bar 1" in text
    told = run("shown", tmp_path / "wall.tour", "--section", "chorus", "--pictures", tmp_path / "p").stdout
    assert f"{len(list((tmp_path / 'p').glob('0* *.png')))} pictures in" in " ".join(told.split())
    bars = " ".join(run("shown", tmp_path / "wall.tour", "--bars", "20-21").stdout.split())
    assert "“Faces” from Gulls, bar 1" in bars, "it came before them and stood in them"
    assert "no section 'solo'" in run("shown", tmp_path / "wall.tour", "--section", "solo").stderr
    assert run("shown", tmp_path / "wall.tour", "--item", "nowhere").exit_code == 2
