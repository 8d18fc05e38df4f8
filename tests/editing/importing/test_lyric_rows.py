"""Lyrics out of a table: a line a row, and nothing lost that was there."""

from datetime import time

from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import item, show

from showcaller.editing import apply
from showcaller.editing.exporting.tables import lyrics_sheet
from showcaller.editing.importing.cells import Table
from showcaller.editing.importing.lyric_rows import read_lyric_rows

TEMPO = [{"bar": 1, "bpm": 120}]
HEAD = ("Song", "When", "Words")


def songs(lyrics=(), free=()):
    return show(
        [
            item("harbour", 120, [], tempo=TEMPO, lyrics=list(lyrics)) | {"name": "Harbour"},
            item("lamps", 120, [], lyrics=list(free)) | {"name": "Lamps"},
            item("talk", 60, [], kind="talk") | {"name": "Talk"},
        ]
    )


def table(*rows, head=HEAD):
    return Table("Lyrics", (head, *rows))


def texts(made, song="harbour"):
    found = next(i for i in made.items if i.id == song).lyrics
    return [(line.bar, line.beat, line.seconds, line.text) for line in found]


def test_lines_come_under_their_songs_with_their_places():
    found = read_lyric_rows(
        songs(),
        table(
            ("Harbour", 9, "Salt on the rail"),
            ("harbour", "13/3", "99 lamps"),
            ("harbour", None, "42 of them lit"),
            ("Lamps", "1:02.5", "Low on the wall"),
            ("Lamps", time(1, 10), "kept as hours"),
        ),
    )
    made, _ = apply(songs(), found.change)
    assert texts(made) == [
        (9, 1, None, "Salt on the rail"),
        (13, 3, None, "99 lamps"),
        (None, 1, None, "42 of them lit"),
    ]
    assert texts(made, "lamps") == [(None, 1, 62.5, "Low on the wall"), (None, 1, 70, "kept as hours")]
    (doubt,) = found.remarks
    assert str(doubt) == "row 6, column B: 1:10 was kept as hours and minutes; taken for minutes and seconds"
    assert found.summary == "5 lines of lyrics for 2 songs"


def test_what_cannot_be_read_stays_out_with_a_sentence_and_the_rest_comes():
    found = read_lyric_rows(
        songs(),
        table(
            ("Harbour", "verse", "Salt on the rail"),
            ("Nowhere", 9, "x"),
            ("Talk", 9, "x"),
            ("Harbour", 9, None),
            ("Lamps", "9/2", "no bars here"),
            ("Harbour", 17, "kept"),
        ),
    )
    assert [r.row for r in found.remarks] == [2, 3, 4, 5, 6]
    assert all(r.wrong for r in found.remarks)
    assert "'verse' is not a place" in str(found.remarks[0])
    assert "Harbour" in str(found.remarks[1])
    made, _ = apply(songs(), found.change)
    assert texts(made) == [(17, 1, None, "kept")]


def test_a_song_that_no_row_names_keeps_its_words_and_so_does_one_with_none_that_can_be_read():
    before = songs([{"id": "a", "text": "Here", "bar": 9}], [{"id": "b", "text": "There", "seconds": 9}])
    found = read_lyric_rows(before, table(("Harbour", "verse", "lost?")))
    assert found.change is None
    made, _ = apply(before, read_lyric_rows(before, table(("Lamps", "0:20", "New"))).change)
    assert texts(made) == texts(before)


def test_a_row_that_was_copied_is_a_line_of_its_own():
    before = songs([{"id": "a", "text": "Here", "bar": 9}])
    row = ("a", "harbour", 9, "Here")
    rows = table(row, row, head=("Id", *HEAD))
    made, _ = apply(before, read_lyric_rows(before, rows).change)
    first, second = made.items[0].lyrics
    assert first.id == "a"
    assert second.id != "a"


_WORD = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=8)
_PLACE = st.one_of(
    st.just({}),
    st.builds(
        lambda bar, beat: {"bar": bar, "beat": beat}, st.integers(1, 400), st.sampled_from([1, 2.5, 4])
    ),
    st.builds(lambda at: {"seconds": at / 4}, st.integers(0, 8000)),
)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.lists(_WORD, min_size=1, max_size=5), _PLACE, st.booleans()), max_size=5))
def test_any_lyrics_come_back_from_their_own_table(rows):
    lines = [
        {"id": f"l{n}", "text": " ".join(words), **place}
        | ({"words_s": [k / 2 for k in range(len(words))]} if timed else {})
        for n, (words, place, timed) in enumerate(rows)
    ]
    full = songs(lines)
    sheet = lyrics_sheet(full)
    found = read_lyric_rows(songs(), Table(sheet.name, (sheet.head, *sheet.rows)))
    assert not found.remarks
    made = songs() if found.change is None else apply(songs(), found.change)[0]
    assert made.items[0].lyrics == full.items[0].lyrics
