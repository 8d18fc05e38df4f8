"""Other colours are everywhere at once: on what is painted, in lists, tabs and buttons."""

import pytest
from desk_keys import chord
from desk_window import desk_on
from PySide6.QtCore import Qt
from small_shows import cue, document, item

from showcaller.desk.paint.colours import colour, forget_colours
from showcaller.desk.theme import NIGHT, USUAL, choose_theme, theme, theme_name


@pytest.fixture
def book(qtbot, tmp_path):
    with desk_on(qtbot, tmp_path, document([item("first", 120, [cue("a", "1", 10)])])) as window:
        yield window
    choose_theme(USUAL)
    forget_colours()


def colours_of(widget) -> set[str]:
    image = widget.grab().toImage()
    across, down = range(0, image.width(), 3), range(0, image.height(), 3)
    return {image.pixelColor(x, y).name().upper() for x in across for y in down}


def test_night_colours_reach_the_lists_the_buttons_and_the_pages(book):
    chord(book, Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier)
    day = {name: theme().colours[name].upper() for name in ("ground", "raised")}
    parts = (book.book.order, book.book.page.list, book.book.buttons.all[0])
    assert all(colours_of(part) & set(day.values()) for part in parts)
    book.performer.do("night")
    assert theme_name() == NIGHT
    night = {theme().colours[name].upper() for name in ("ground", "raised")}
    for part in parts:
        seen = colours_of(part)
        assert seen & night, f"{part.accessibleName()} knows nothing of it"
        assert not seen & (set(day.values()) - night), f"{part.accessibleName()} keeps the old ones"
    lead = book.book.page._lead
    assert lead.palette().color(lead.foregroundRole()) == colour("quiet")
