"""What an import is not sure of: it costs no song, and stays marked until somebody confirms it."""

import json

import pytest
from small_shows import cue, document, item, show

from showcaller.editing import ChangeError, SetFields, apply
from showcaller.editing.forms import edit_item, item_fields
from showcaller.editing.importing.cells import Table
from showcaller.editing.importing.running_order import read_running_order
from showcaller.model import parse_show, show_text

EMPTY = show([item("s", 60, [], name="New song")])


def read(*rows, made=EMPTY):
    return read_running_order(made, Table("order", tuple(rows), ""))


def taken(understood, made=EMPTY):
    return apply(made, understood.change)[0]


def said(understood):
    return [str(r) for r in understood.remarks]


HEAD = ("Act / Song", "Length (mm:ss)", "BPM", "TC")


def test_a_tempo_that_cannot_be_read_costs_the_tempo_and_no_song_and_stays_marked():
    found = read(HEAD, ("Gulls", "4:36", "fast-ish", None), ("Harbour", "5:00", "124", "25:99"))
    assert found.summary.startswith("2 items, 9:36 in all: 2 new")
    made = taken(found)
    gulls, harbour = made.items
    assert (gulls.tempo, gulls.doubts) == (
        (), ("tempo: tempo: 'fast-ish' is not a tempo; give 124, or a bar and a tempo: 33 132",)
    )  # fmt: skip
    assert len(harbour.tempo) == 1
    assert harbour.timecode_start is None
    assert [d.partition(":")[0] for d in harbour.doubts] == ["timecode"]
    assert not any("^" in line or "\\d" in line for line in said(found)), (
        "nobody is shown a regular expression"
    )
    assert not any(r.wrong for r in found.remarks)
    assert parse_show(show_text(made)) == made, "it is in the document, also the next day"


def test_a_doubt_goes_when_its_field_is_typed_or_it_is_confirmed():
    made = taken(read(HEAD, ("Gulls", "25:99", "fast-ish", None)))
    (gulls,) = made.items
    assert len(gulls.doubts) == 2
    assert {f.key: f.text for f in item_fields(made, gulls.id)}["doubts"] == "; ".join(gulls.doubts)
    made, _ = apply(made, edit_item(made, gulls.id, "tempo", "120").change)
    assert [d.partition(":")[0] for d in made.items[0].doubts] == ["length"]
    with pytest.raises(ChangeError, match="type ok"):
        edit_item(made, gulls.id, "doubts", "no idea")
    made, _ = apply(made, edit_item(made, gulls.id, "doubts", "ok").change)
    assert made.items[0].doubts == ()
    assert "doubts" not in {f.key for f in item_fields(made, gulls.id)}


def test_a_length_that_is_none_is_a_sentence_by_its_place():
    (line,) = said(read(HEAD, ("Gulls", "25:99", None, None)))
    assert line.startswith("row 2, column B: 'Gulls': '25:99' is not a length")


def test_a_sum_that_is_otherwise_than_its_rows_is_said_and_by_how_much():
    rows = (HEAD, ("Gulls", "4:00", None, None), ("Harbour", "5:00", None, None))
    (line,) = said(read(*rows, ("TOTAL", "10:30", None, None)))
    assert line.endswith("is not imported; it says 10:30, 1:30 more than the rows above, which are 9:00")
    (line,) = said(read(*rows, ("TOTAL", "9:00", None, None)))
    assert line.endswith("is the sum of the others and is not imported")


def test_headings_of_two_words_and_what_heads_a_part_are_what_they_are():
    found = read(
        ("#", *HEAD),
        ("1", "Gulls", "4:00", None, None),
        (None, "INTERVAL", "20:00", None, None),
        (None, "ENCORE", None, None, None),
        ("2", "Act Natural", "3:00", None, None),
        (None, "Set 2:", None, None, None),
    )
    assert ("B", "Act / Song", "name") in found.columns
    assert [(i.name, i.kind) for i in taken(found).items] == [
        ("Gulls", "song"), ("INTERVAL", "interval"), ("Act Natural", "song"),
    ]  # fmt: skip
    assert said(found) == [
        "row 4: 'ENCORE' heads what is below it and is no item",
        "row 6: 'Set 2:' heads what is below it and is no item",
    ]


def test_the_counts_add_up():
    made = taken(read(HEAD, ("A", "4:00", None, None), ("B", "5:00", None, None)))
    rows = (("A", "4:00", None, None), ("B", "5:30", None, None), ("C", "3:00", None, None))
    assert read(HEAD, *rows, made=made).summary == (
        "3 items, 12:30 in all: 1 new, 1 changed (B: 5:00 now 5:30), 1 as before"
    )


def test_what_was_confirmed_is_not_asked_about_again_by_the_same_file():
    """A tempo that cannot be read stays marked until somebody confirms it; the list brought again changes
    nothing of that."""
    rows = (("Gulls", "4:00", "quick", None), ("Harbour", "5:00", None, None))
    made = taken(read(HEAD, *rows))
    assert made.items[0].doubts
    confirmed, _ = apply(made, SetFields(at=("items", made.items[0].id), fields={"doubts": []}))
    again = read(HEAD, *rows, made=confirmed)
    assert again.summary.endswith("0 new, 0 changed, 2 as before")
    other = read(HEAD, ("Gulls", "4:30", "quick", None), rows[1], made=confirmed)
    assert "1 changed (Gulls: 4:00 now 4:30)" in other.summary
    assert taken(other, confirmed).items[0].doubts


def test_a_song_without_cues_is_asked_about_where_its_name_is_much_like_it():
    made = taken(read(HEAD, ("Opener", "3:20", None, None), ("Homeward", "4:00", None, None)))
    (one,) = read(
        HEAD, ("Opener", "3:20", None, None), ("Homeward Bound", "4:00", None, None), made=made
    ).questions
    assert one.words == "'Homeward Bound' is 'Homeward' under another name"
    assert not read(HEAD, ("Opener", "3:20", None, None), ("Quay", "4:00", None, None), made=made).questions


def songs():
    cues = [cue("c1", "1", 0), cue("c2", "2", 30)]
    return parse_show(json.dumps(document([
        item("a", 200, [], name="Opener"), item("b", 240, cues, name="Harbour"),
        item("d", 300, [], name="Closer"),
    ])))  # fmt: skip


@pytest.mark.parametrize("name", ["Harbour Lights", "Quay Song"])
def test_a_renamed_song_is_recognised_by_its_cues_and_asked_about(name):
    rows = (("Opener", "3:20", None, None), (name, "4:05", "120", None), ("Closer", "5:00", None, None))
    found = read(HEAD, *rows, made=songs())
    (question,) = found.questions
    assert question.words == f"'{name}' is 'Harbour' under another name: its 2 cues stay with it"
    answered = found.answered([question])
    assert found.summary.endswith(
        "1 new, 0 changed, 2 as before, 1 not in the file stays, cut tonight (Harbour)"
    )
    assert answered.summary.endswith("in all: 0 new, 1 changed, 2 as before")
    same = taken(answered, songs())
    assert [(i.id, i.name, len(i.cues), i.out) for i in same.items] == [
        ("a", "Opener", 0, False), ("b", name, 2, False), ("d", "Closer", 0, False),
    ]  # fmt: skip
    assert float(same.items[1].length_s) == 245
    other = taken(found, songs())
    assert [(i.name, i.out) for i in other.items][-1] == ("Harbour", True)


def test_a_song_at_another_place_and_of_another_length_is_new():
    rows = (("Opener", "3:20", None, None), ("Closer", "5:00", None, None), ("Zebra", "7:00", None, None))
    assert read(HEAD, *rows, made=songs()).questions == ()


def test_a_songs_key_is_no_id_and_an_id_of_somebody_elses_is_not_either():
    """A set list with the keys Am, D and G, brought twice: nothing is doubled, nothing is cut."""
    rows = [("Song", "Key", "Length"), ("Iron Gulls", "Am", "4:36"), ("Long Harbour", "D", "5:10")]
    once = taken(read(*rows))
    twice = taken(read(*rows, made=once), made=once)
    assert [(i.id, i.name, i.out) for i in twice.items] == [(i.id, i.name, i.out) for i in once.items]
    ours = [("Id", "Song", "Length"), ("row-17", "Iron Gulls", "4:36"), ("row-18", "Long Harbour", "5:20")]
    brought = taken(read(*ours, made=once), made=once)
    assert [(i.id, i.name, i.out) for i in brought.items] == [(i.id, i.name, i.out) for i in once.items]
    assert brought.items[1].length_s == 320


def test_an_encore_is_a_song_and_a_kind_of_their_own_costs_no_item():
    found = read(("Item", "Kind", "Length"), ("Homeward", "encore", "4:00"), ("Tide", "opener", "3:00"))
    made = taken(found)
    assert [(i.name, i.kind, i.length_s) for i in made.items[:2]] == [
        ("Homeward", "song", 240),
        ("Tide", "song", 180),
    ]
    assert made.items[0].doubts == ()
    assert made.items[1].doubts[0].startswith("kind: 'opener' is no kind of item here")
    assert "'Tide': 'opener' is no kind of item here" in " ".join(said(found))
    assert "a song until you know" in " ".join(said(found))
