"""Files from outside at the desk: read beside the window, stopped by Escape, lengths taken once known."""

import wave
from pathlib import Path

import pytest
from desk_keys import chord
from desk_window import desk_on
from small_shows import document, item

from showcaller.desk.qt import Qt


@pytest.fixture
def book(qtbot, tmp_path: Path):
    with desk_on(qtbot, tmp_path, document([item("first", 120, [])])) as window:
        window.show_area("Book")
        yield window


def sound(path: Path, seconds: int) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8000)
        file.writeframes(bytes(16_000 * seconds))
    return path


def test_a_reference_gives_the_song_its_length_once_it_has_been_read(qtbot, book):
    sound(book.store.folder / "ref.wav", 7)
    book.book.controller.files.take_reference("ref.wav")
    assert book.store.show_now.items[0].length_s == 120
    qtbot.waitUntil(lambda: book.store.show_now.items[0].length_s == 7)
    assert book.store.show_now.items[0].reference == "ref.wav"


def test_a_reference_elsewhere_is_refused_in_a_sentence(qtbot, book):
    said = []
    book.book.said.say = lambda words, *_: said.append(words)
    sound(book.store.folder.parent / "out.wav", 7)
    book.book.controller.files.take_reference("../out.wav")
    qtbot.waitUntil(lambda: any("lies outside the show's folder" in words for words in said))
    assert book.store.show_now.items[0].reference is None


def test_escape_stops_reading_and_nothing_is_changed(qtbot, book):
    files, said = book.book.controller.files, []

    def endless(seen, stop):
        while not stop():
            seen("reading x.xlsx", 1, 4)
        raise AssertionError("its end is not asked for")

    files.reading._say = said.append
    files.reading.start(endless, lambda _: said.append("done"), lambda _: said.append("failed"))
    qtbot.waitUntil(lambda: "reading x.xlsx, 25 % · Escape stops it" in said)
    chord(book, Qt.Key.Key_Escape)
    assert not files.reading.busy
    qtbot.wait(100)
    assert "done" not in said
    assert "failed" not in said
