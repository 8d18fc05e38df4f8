"""The handbook at the desk: the page for what is on screen, keys of the show handed on, words found."""

from desk_keys import answer, chord, press
from PySide6.QtTest import QTest

from showcaller.desk.keyboard import REPEAT_S, Keyboard
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QPoint, Qt, QUrl


def opened(qtbot, desk):
    qtbot.wait(round(REPEAT_S * 1000) + 20)  # sooner it would be the keyboard's own repeat
    chord(desk, Qt.Key.Key_F1)
    qtbot.waitUntil(lambda: desk.acts.helping.handbook is not None and desk.acts.helping.handbook.isVisible())
    return desk.acts.helping.handbook


def test_f1_opens_the_page_for_the_area_in_front(qtbot, desk):
    desk.show_area("Call")
    book = opened(qtbot, desk)
    assert book.page == "caller/first-song"
    desk.show_area("Book")
    assert opened(qtbot, desk).page == "stage/week"
    chord(desk, Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier)
    assert opened(qtbot, desk).page == "howto/outputs"
    assert not book.now_bar.isVisible()


def test_in_a_show_it_lies_under_the_box_and_the_keys_of_the_show_act(qtbot, live):
    live.show_area("Call")
    book = opened(qtbot, live)
    assert book.page == "caller/night"
    assert book.lies_in_desk
    live.frame()
    centre = live.call.centre
    box_foot = centre.mapTo(live, QPoint(0, int(centre.below_px))).y()
    assert book.mapTo(live, QPoint(0, 0)).y() >= box_foot, "what is called and asked stays in sight"
    assert book.mapTo(live, QPoint(book.width(), 0)).x() <= live.call.side.mapTo(live, QPoint(0, 0)).x()
    QTest.keyClick(book.text, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: any(r.input.kind == "standby" for r in live.host.book.records))
    live.show_area("Wall")
    live.frame()
    assert book.geometry() == live.areas.geometry(), "the line to call is at the foot, under it"
    assert live.now_bar.isVisible()
    QTest.keyClick(book.text, Qt.Key.Key_Escape)
    assert not book.isVisible()


def test_what_is_typed_into_its_field_is_no_key_of_the_show_and_the_box_says_so(qtbot, live):
    live.show_area("Call")
    book = opened(qtbot, live)
    before = len(live.host.book.records)
    book.search.setFocus()
    QTest.keyClicks(book.search, "gsx")
    assert book.search.text() == "gsx"
    assert len(live.host.book.records) == before
    live.frame()
    assert live.call.centre.typing.startswith("typing")


def test_a_key_that_scrolls_a_page_is_the_shows_if_the_show_has_it(qtbot, live):
    live.show_area("Call")
    live.keyboard = Keyboard(Keys({"go": "PgDown"}))  # a pedal that turns pages
    book = opened(qtbot, live)
    at = book.text.verticalScrollBar().value()
    QTest.keyClick(book.text, Qt.Key.Key_PageDown)
    qtbot.waitUntil(lambda: any(r.input.kind == "go" for r in live.host.book.records))
    assert book.text.verticalScrollBar().value() == at
    QTest.keyClick(book.text, Qt.Key.Key_Down)
    assert book.text.verticalScrollBar().value() > at, "what the show does not have scrolls"


def test_one_that_was_open_when_the_show_began_does_not_stay_over_the_box(qtbot, desk):
    book = opened(qtbot, desk)
    assert book.isWindow()
    press(desk, "r")
    answer(qtbot, desk, "Ines")
    answer(qtbot, desk, "live")
    qtbot.waitUntil(lambda: book.lies_in_desk)
    assert book.isVisible()


def test_a_word_is_found_on_whatever_page_and_a_link_leads_on(qtbot, desk):
    book = opened(qtbot, desk)
    book.search.setText("takes hold where the value is")
    book.search.returnPressed.emit()
    assert book.page == "howto/controllers"
    assert book.text.textCursor().selectedText() == "takes hold where the value is"
    book.open_at("index")
    book.text.anchorClicked.emit(QUrl("trouble.md"))
    assert book.page == "trouble"
    QTest.keyClick(book.text, Qt.Key.Key_Escape)
    assert not book.isVisible()


def test_after_the_menu_was_gone_into_by_key_a_letter_is_a_key_of_the_show_again(qtbot, desk):
    desk.menus.bar.setFocus()  # as it stays, on some systems, after F10 and Escape
    assert desk.focusWidget() is desk.menus.bar
    assert desk.menus.bar.activeAction() is None
    desk.frame()
    assert desk.focusWidget() is not desk.menus.bar
