"""Lyrics by real keys in the real window: typed, imported, a cue hung on a word, and that cue called."""

from pathlib import Path

import pytest
from desk_keys import after_gap, answer, chord, fired, go
from desk_keys import press as press_letters
from desk_window import desk_on
from small_shows import cue, document, item

from showcaller.desk.areas.book.pages.taking_in import TakingIn
from showcaller.desk.qt import Qt

CTRL, SHIFT, ALT = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.AltModifier,
)


@pytest.fixture
def book(qtbot, tmp_path: Path):
    items = [item("first", 120, [cue("a", "1", 20)], tempo=[{"bar": 1, "bpm": 120}]),
             item("second", 60, []) | {"kind": "talk"}]  # fmt: skip
    with desk_on(qtbot, tmp_path, document(items)) as window:
        yield window


def page(window):
    return window.book.controller.pages.now


def rows(window):
    return [" · ".join(line.cells) for line in page(window).lines()]


def song(window):
    return window.store.show_now.items[0]


def typed(qtbot, window, text):
    qtbot.keyClicks(window.book.edit._line, text)
    qtbot.keyClick(window.book.edit._line, Qt.Key.Key_Return)


def lyrics_typed(qtbot, window):
    chord(window, Qt.Key.Key_L, CTRL | SHIFT)
    for line in ("5 The lamps are lit", "out over the water", "11/3 and they are gone"):
        chord(window, Qt.Key.Key_N, CTRL)
        typed(qtbot, window, line)


def test_lines_are_typed_put_in_order_and_taken_out(qtbot, book):
    lyrics_typed(qtbot, book)
    assert rows(book) == ["5 · The lamps are lit · ", "about 0:14 · out over the water · ",
                          "11/3 · and they are gone · "]  # fmt: skip
    assert page(book).lead().startswith("3 lines, 2 with a place; 1 lie between their neighbours")
    chord(book, Qt.Key.Key_Return)
    typed(qtbot, book, "12 and gone")
    assert rows(book)[2] == "12 · and gone · "
    chord(book, Qt.Key.Key_Up, ALT)
    assert [line.text for line in song(book).lyrics] == [
        "The lamps are lit",
        "and gone",
        "out over the water",
    ]
    chord(book, Qt.Key.Key_Delete)
    assert [line.text for line in song(book).lyrics] == ["The lamps are lit", "out over the water"]
    for _ in range(6):
        chord(book, Qt.Key.Key_Z, CTRL)
    assert song(book).lyrics == ()


def test_what_is_no_line_stays_in_the_field_with_the_reason(qtbot, book):
    chord(book, Qt.Key.Key_L, CTRL | SHIFT)
    assert "none yet" in rows(book)[0]
    chord(book, Qt.Key.Key_Return)
    typed(qtbot, book, "0 lit")
    assert "'0' is not a bar" in book.book.edit._hint.text()
    assert song(book).lyrics == ()
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Escape)
    after_gap(qtbot)  # so soon it would be the keyboard's own repeating
    chord(book, Qt.Key.Key_Escape)
    assert page(book) is None
    chord(book, Qt.Key.Key_Down)
    assert book.book.state.chosen.item == "second"
    chord(book, Qt.Key.Key_L, CTRL | SHIFT)
    assert page(book) is None
    assert book.book.said.words == "lyrics are a song's, and Second is a talk; choose the song first"


def hung(qtbot, window):
    """A cue is hung on a word by typing it at the foot."""
    chord(window, Qt.Key.Key_Escape)
    chord(window, Qt.Key.Key_N, CTRL)
    answer(qtbot, window, "lights on lit Lamps up")


def test_a_cue_is_hung_on_a_word_and_a_line_taken_out_says_what_becomes_of_it(qtbot, book):
    lyrics_typed(qtbot, book)
    hung(qtbot, book)
    new = song(book).cues[-1]
    assert (new.label, new.anchor.at, new.anchor.word, new.fires) == ("Lamps up", "word", 4, "called")
    chord(book, Qt.Key.Key_L, CTRL | SHIFT)
    assert rows(book)[0] == f"5 · The lamps are lit · Lights {new.number} on “lit”"
    book.grab()
    chord(book, Qt.Key.Key_Delete)
    assert book.book.said.words.endswith(
        f"Lights {new.number} (was on “lit”) loses its word and stays at its time"
    )
    assert float(song(book).cues[-1].anchor.seconds) == pytest.approx(13.625, abs=1)
    chord(book, Qt.Key.Key_Z, CTRL)
    assert song(book).cues[-1].anchor.at == "word"


def test_an_ambiguous_word_is_refused_with_its_places(qtbot, book):
    lyrics_typed(qtbot, book)
    chord(book, Qt.Key.Key_Escape)
    chord(book, Qt.Key.Key_N, CTRL)
    answer(qtbot, book, "lights on are Lamps up")
    words = book.prompt._hint.text()
    assert (
        "'are' is sung 2 times: 'on are 1' is in: The lamps are lit; 'on are 2' is in: and they are gone"
        in words
    )
    qtbot.keyClick(book.prompt._edit, Qt.Key.Key_Escape)


def test_a_file_of_lyrics_is_read_by_the_real_reader_and_taken_with_enter(qtbot, book, tmp_path):
    path = tmp_path / "first.lrc"
    path.write_text("[00:08.00]The lamps are lit\n[00:20.50]and they are gone\n", encoding="utf-8")
    book.book.controller.files.take_in(path)
    qtbot.waitUntil(lambda: isinstance(page(book), TakingIn))
    assert "2 lines of lyrics for First, 2 with their place" in page(book).lead()
    assert rows(book)[-2:] == ["0:08.00 · The lamps are lit · ", "0:20.50 · and they are gone · "]
    assert song(book).lyrics == ()
    chord(book, Qt.Key.Key_Return)
    assert [float(line.seconds) for line in song(book).lyrics] == [8.0, 20.5]
    chord(book, Qt.Key.Key_Z, CTRL)
    assert song(book).lyrics == ()


def test_a_cue_on_a_word_is_called_by_its_key(qtbot, book):
    lyrics_typed(qtbot, book)
    hung(qtbot, book)
    new = song(book).cues[-1].id
    qtbot.waitUntil(lambda: new in book.host.book.compiled.where)  # the changed show is worked out
    chord(book, Qt.Key.Key_3, CTRL)
    after_gap(qtbot)
    press_letters(book, "r")
    answer(qtbot, book, "Ines")
    answer(qtbot, book, "live")
    qtbot.waitUntil(lambda: book.host.book.state.phase == "running")
    for _ in range(2):  # the item's start, then the word
        count = len(book.host.book.records)
        go(qtbot, book)
        qtbot.waitUntil(lambda n=count: len(book.host.book.records) > n)
        after_gap(qtbot)
        book.frame()
    qtbot.waitUntil(lambda: fired(book) == [new])
    assert book.grab().width() == 1280
