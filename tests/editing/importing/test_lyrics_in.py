"""Lyrics from LRC files, MIDI files and plain text."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from mido import MetaMessage, MidiFile, MidiTrack
from small_shows import cue, item, show

from showcaller.editing import apply
from showcaller.editing.importing import FileError
from showcaller.editing.importing.files import understand
from showcaller.editing.importing.lyrics import read_lrc, read_plain, text_of
from showcaller.editing.importing.midi_lyrics import lines_of
from showcaller.editing.importing.taking_in import understand_outside
from showcaller.model import LyricLine
from showcaller.timing.midi_tempo import Syllable, read_midi_syllables
from showcaller.timing.plan import compile_item

LRC = """[ti:Harbour lamps]
[ar: Nobody ]
[offset:+500]
[00:12.50]The lamps are lit
[00:20.5][01:00.500]And out they go
[00:30]<00:30.00>Over <00:31.25>the <00:32.00>wa<00:32.50>ter

[00:40.00]
[0:45:25] last line
"""


def test_an_lrc_file_by_its_stamps():
    found = read_lrc(LRC)
    assert found.lines == [
        {"text": "The lamps are lit", "seconds": 12},  # half a second sooner
        {"text": "And out they go", "seconds": 20},
        {"text": "Over the water", "seconds": 29.5, "words_s": [0, 1.25, 2]},
        {"text": "last line", "seconds": 44.75},
        {"text": "And out they go", "seconds": 60},
    ]
    assert found.remarks == []


def test_stamps_count_in_the_recording_not_in_the_item():
    found = read_lrc("[00:10.00]a\n[00:02]b", begins_s=Fraction(4))
    assert [line["seconds"] for line in found.lines] == [0, 6]
    assert [str(r) for r in found.remarks] == [
        "row 2: 'b' is before the item begins; it is put at its beginning"
    ]


@pytest.mark.parametrize(
    "words", ["<00:12.00>two <00:11.00>back", "one <00:13.00>two three", "<00:01.00>early"]
)
def test_word_times_that_are_not_one_a_word_in_order_are_left_out(words):
    found = read_lrc(f"[00:10.00]{words}")
    assert "words_s" not in found.lines[0]
    assert found.remarks[0].harmless


def test_plain_text_with_bars_in_brackets():
    text = "[Verse 1]\n[5] The lamps are lit\nand out they go\n\n[9/3]\nover the water\n[1:05.5] last\n[x"
    assert read_plain(text, has_bars=True).lines == [
        {"text": "The lamps are lit", "bar": 5},
        {"text": "and out they go"},
        {"text": "over the water", "bar": 9, "beat": 3},
        {"text": "last", "seconds": 65.5},
        {"text": "[x"},
    ]
    without = read_plain(text, has_bars=False)
    assert [line.get("seconds") for line in without.lines] == [None, None, None, 65.5, None]
    assert "[5] is a bar, and the song has no tempo" in str(without.remarks[1])


@pytest.mark.parametrize(
    ("read", "text", "sentence"),
    [
        (read_lrc, "The lamps are lit\n", "no line of it has a time such as"),
        (read_lrc, "", "no line of it has a time such as"),
        (lambda t: read_plain(t, True), " \n[Verse]\n", "there are no words in it"),
        (lambda t: read_plain(t, True), "la\n" * 2001, "it has 2,001 lines; lyrics of up to 2,000"),
        (lambda t: read_lrc(t * 2001), "[00:01]la\n", "it has 2,001 lines"),
    ],
)
def test_what_cannot_be_taken_in_is_one_sentence(read, text, sentence):
    with pytest.raises(FileError, match=sentence):
        read(text)


LRC_LIKE = st.text(st.sampled_from("[]<>:.0123456789 ab-/\n\toffset"), max_size=120)


@given(st.one_of(st.text(max_size=80), LRC_LIKE), st.booleans())
def test_any_text_gives_lyrics_or_one_sentence(text, has_bars):
    for read in (read_lrc, lambda t: read_plain(t, has_bars)):
        try:
            found = read(text)
        except FileError as error:
            assert "\n" not in str(error)  # noqa: PT017 - either outcome will do
            continue
        for n, line in enumerate(found.lines):
            LyricLine.model_validate({"id": f"l{n}", **line})
        assert all("\n" not in str(remark) for remark in found.remarks)


@given(st.binary(max_size=60))
def test_any_bytes_are_some_text(data):
    assert isinstance(text_of(data), str)


def test_text_is_read_as_it_was_written():
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        assert text_of("Über’s Wasser".encode(encoding)) == "Über’s Wasser"


def midi(path, events, tempo=500_000, charset="latin1", more=()):
    """A file written by a library of its own: (ticks from the start, text) as lyric events, FF 05."""
    file = MidiFile(ticks_per_beat=480, charset=charset)
    file.tracks.append(MidiTrack([MetaMessage("set_tempo", tempo=tempo)]))
    track, at = MidiTrack(), 0
    for ticks, text in events:
        track.append(MetaMessage("lyrics", text=text, time=ticks - at))
        at = ticks
    file.tracks.append(track)
    for other in more:
        file.tracks.append(MidiTrack([MetaMessage("lyrics", text=other)]))
    file.save(path)
    return path


def sung(path):
    return lines_of(read_midi_syllables(path.read_bytes()))


def test_syllables_as_rp_017_writes_them(tmp_path):
    # RP-017 (SMF Lyric Meta Event Definition): each syllable an event, a space ends a word, what ends without
    # one is gone on with by the next, a carriage return ends a line.
    events = [(0, "The "), (480, "har"), (720, "bour "), (960, "lights."), (960, "\r"), (1920, "Out "),
              (2160, "they "), (2400, "go\r"), (3840, "Dark")]  # fmt: skip
    assert sung(midi(tmp_path / "x.mid", events)) == [
        {"text": "The harbour lights.", "bar": 1, "words_s": [0, 0.5, 1]},
        {"text": "Out they go", "bar": 2, "words_s": [0, 0.25, 0.5]},
        {"text": "Dark", "bar": 3},
    ]


def test_an_event_is_a_lyric_by_its_number_in_the_file(tmp_path):
    # Standard MIDI Files 1.0: FF 05 len text.
    data = midi(tmp_path / "x.mid", [(0, "sea ")]).read_bytes()
    assert b"\xff\x05\x04sea " in data
    assert [s.text for s in read_midi_syllables(data)] == ["sea "]
    assert read_midi_syllables(data.replace(b"\xff\x05", b"\xff\x01")) == ()  # a text event is none


def test_hyphens_and_slashes_as_many_files_have_them(tmp_path):
    events = [(0, "\\The"), (240, "har-"), (480, "bour"), (720, "/lights"), (960, "out")]
    assert [line["text"] for line in sung(midi(tmp_path / "x.mid", events))] == ["The harbour", "lights out"]
    spaced = [(0, "/har-"), (240, "bour "), (480, "lights"), (480, "/"), (960, "out")]
    assert [line["text"] for line in sung(midi(tmp_path / "y.mid", spaced))] == ["harbour lights", "out"]


def test_without_line_ends_a_rest_begins_a_line(tmp_path):
    events = [(0, "one "), (480, "two "), (480 * 5, "three ")]
    assert [(line["text"], line["bar"]) for line in sung(midi(tmp_path / "x.mid", events))] == [
        ("one two", 1), ("three", 2),
    ]  # fmt: skip


def test_the_track_that_sings_most_and_its_letters(tmp_path):
    path = midi(tmp_path / "x.mid", [(0, "Über "), (480, "Nacht")], charset="utf-8", more=["ooh"])
    assert [line["text"] for line in sung(path)] == ["Über Nacht"]
    assert [line["text"] for line in sung(midi(tmp_path / "y.mid", [(0, "Über ")]))] == ["Über"]


TEXTS = st.text(st.sampled_from("ab -/\\\r\n{@}"), max_size=6) | st.text(max_size=4)


@given(st.lists(st.tuples(st.integers(0, 5000), TEXTS), max_size=12))
def test_any_syllables_give_lines_that_a_document_can_hold(events):
    at, syllables = 0, []
    for ticks, text in events:
        at += ticks
        quarter = Fraction(at, 480)
        bar, beat = divmod(quarter, 4)
        syllables.append(Syllable(text, quarter, 1 + int(bar), 1 + beat, quarter / 2))
    for n, line in enumerate(lines_of(syllables)):
        LyricLine.model_validate({"id": f"l{n}", **line})


@pytest.fixture
def book():
    words = [{"id": "la", "text": "The lamps are lit", "bar": 5}, {"id": "lb", "text": "gone soon", "bar": 7}]
    cues = [cue("a", "1", {"at": "word", "line": "la", "word": 4}),
            cue("b", "2", {"at": "word", "line": "lb", "word": 2})]  # fmt: skip
    return show(
        [
            item("one", 120, cues, tempo=[{"bar": 1, "bpm": 120}], lyrics=words),
            item("talk", 9, []) | {"kind": "talk"},
        ]
    )


def test_a_file_is_read_by_the_real_reader_process_and_cues_stay_on_their_words(book, tmp_path):
    path = tmp_path / "harbour.lrc"
    path.write_text(LRC, encoding="utf-8")
    (found,) = understand_outside(book, path, "one")
    assert found.summary == "5 lines of lyrics for One, 5 with their place, in place of its own"
    assert [str(r) for r in found.remarks] == [
        "Lights 2 (was on “soon”) loses its word and stays at its time"
    ]
    changed, back = apply(book, found.change)
    song = changed.items[0]
    assert song.lyrics[0].id == "la"  # the same words
    at = {c.cue.id: float(c.at_s) for c in compile_item(song, "25").cues}
    assert at == {"a": 18.0, "b": 14.0}
    assert apply(changed, back)[0] == book


def test_a_midi_file_offers_its_lyrics_after_its_tempo(book, tmp_path):
    path = midi(tmp_path / "x.mid", [(480 * 16, "The "), (480 * 17, "lamps\r")])
    tempo, words = understand_outside(book, path, "one")
    assert words.title == "lyrics for One"
    changed, _ = apply(apply(book, tempo.change)[0], words.change)
    assert [(line.text, line.bar) for line in changed.items[0].lyrics] == [("The lamps", 5)]
    (only,) = understand_outside(book, midi(tmp_path / "y.mid", []), "one")
    assert only.title == "MIDI file for One"


def test_a_text_file_that_is_a_table_is_one_still(book, tmp_path):
    path = tmp_path / "order.txt"
    path.write_text("Song\tLength\nLow Water\t5:10\n")
    assert understand(book, path, "one")[0].summary.startswith("1 item, 5:10 in all")
    path.write_text("[5] The lamps\nare lit\n")
    assert understand(book, path, "one")[0].title == "lyrics for One"


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("x.lrc", b"no stamps", "x.lrc: no line of it has a time such as"),
        ("x.lrc", b"", "x.lrc is empty"),
        ("x.lrc", b"[00:01]a\n" * 120_000, "x.lrc is 1.1 MB; files up to 1 MB are read"),
        ("x.txt", b" \n \n", "x.txt: there are no words in it"),
    ],
)
def test_a_file_that_is_not_taken_in_is_one_sentence(book, tmp_path, name, content, sentence):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(FileError, match=sentence) as told:
        understand_outside(book, tmp_path / name, "one")
    assert "\n" not in str(told.value)


def test_lyrics_are_a_songs(book, tmp_path):
    (tmp_path / "x.lrc").write_text("[00:01]a")
    with pytest.raises(
        FileError, match="a file of lyrics is for a song, and Talk is a talk; choose the song first"
    ):
        understand(book, tmp_path / "x.lrc", "talk")
