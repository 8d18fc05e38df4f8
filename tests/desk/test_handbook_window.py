"""The handbook at the desk: the page for what is on screen, keys of the show handed on, words found."""

from desk_keys import chord
from PySide6.QtTest import QTest

from showcaller.desk.keyboard import REPEAT_S
from showcaller.desk.qt import Qt, QUrl


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


def test_in_a_show_its_keys_act_in_the_desk_and_what_they_act_on_stands_at_the_foot(qtbot, live):
    live.show_area("Call")
    book = opened(qtbot, live)
    assert book.page == "caller/night"
    qtbot.waitUntil(book.now_bar.isVisible)
    QTest.keyClick(book.text, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: any(r.input.kind == "standby" for r in live.host.book.records))
    before = len(live.host.book.records)
    QTest.keyClicks(book.search, "gsx")
    assert book.search.text() == "gsx"
    assert len(live.host.book.records) == before, "what is typed into its field is no key of the show"


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
