"""Changes for tonight by real keys: the show that is on is another, the book as it was until it is told."""

from pathlib import Path

import pytest
from desk_keys import chord
from desk_window import desk_on
from small_shows import cue, document, item

from showcaller.desk.areas.book.pages.changes import AGAIN, CAN, IN
from showcaller.desk.qt import Qt
from showcaller.run import commands as c

CTRL, SHIFT, ALT = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.AltModifier,
)
Key = Qt.Key


@pytest.fixture
def desk(qtbot, tmp_path: Path):
    bar = {"at": "bar", "bar": 9, "beat": 1}
    items = [
        item("first", 120, [cue("a", "1", bar), cue("b", "2", 30, "video")], tempo=[{"bar": 1, "bpm": 120}]),
        item("second", 60, [cue("c", "3", 10)]),
        item("third", 60, []),
    ]
    with desk_on(qtbot, tmp_path, document(items)) as window:
        yield window


def on(qtbot, desk, item_id="second"):
    """A rehearsal is on, its first item begun; the Book is in front, for tonight, with an item chosen."""
    assert desk.host.open("Ines", muted=True) is None
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "running")
    desk.host.session.send(c.Go("first:start"))
    qtbot.waitUntil(lambda: desk.host.book.state.clock_ns is not None)
    desk.show_area("Book")
    chord(desk, Key.Key_T, CTRL | SHIFT)
    assert desk.store.tonight is not None
    desk.book.state.choose_item(item_id)


def of_run(desk):
    return desk.host.book.compiled.plan.show


def items_of(show):
    return [(i.id, i.out) for i in show.items]


def test_what_is_changed_for_tonight_is_in_the_run_and_not_in_the_book(qtbot, desk):
    on(qtbot, desk)
    assert "tonight's show" in desk.book.foot_words()[0]
    chord(desk, Key.Key_T, CTRL)  # cut the item
    qtbot.waitUntil(lambda: items_of(of_run(desk))[1] == ("second", True))
    assert items_of(desk.store.document)[1] == ("second", False)
    assert desk.host.book.state.place.item < 2
    assert [i.planned.item.id for i in desk.host.book.compiled.items] == ["first", "third"]
    chord(desk, Key.Key_Z, CTRL)
    qtbot.waitUntil(lambda: items_of(of_run(desk))[1] == ("second", False))
    chord(desk, Key.Key_Y, CTRL)
    qtbot.waitUntil(lambda: items_of(of_run(desk))[1] == ("second", True))


def test_a_cue_is_moved_by_its_key_and_the_calls_follow(qtbot, desk):
    on(qtbot, desk, "first")
    desk.book.state.choose_cue("b")
    chord(desk, Key.Key_Right, ALT | SHIFT)  # four tenths later
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 1)
    i, k = desk.host.book.compiled.where["b"]
    assert desk.host.book.compiled.items[i].at_ns[k] == 30_400_000_000
    line = next(
        x for x in desk.host.book.sheets[0].lines if x.what == "go" and x.go is not None and x.cues == (1,)
    )
    assert 30 < float(line.lands_s) <= 30.4
    assert desk.host.book.changes[0][1].by == "Ines"


def test_a_new_cue_is_typed_for_tonight_and_is_called(qtbot, desk):
    on(qtbot, desk, "first")
    desk.book.controller.cues.new_cue_typed("video 0:20 hands")
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 1)
    new = next(cue for cue in of_run(desk).all_cues() if cue.label == "hands")
    assert new.id in desk.host.book.compiled.where
    assert all(cue.label != "hands" for cue in desk.store.document.all_cues())


def test_what_is_changed_is_named_by_song_place_and_label_in_call_and_where_it_is_offered(qtbot, desk):
    on(qtbot, desk, "first")
    desk.book.controller.cues.new_cue_typed("lights 25 Gulls out")
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 1)
    desk.book.controller.cues.new_cue_typed("video when she bows, about 1:10")
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 2)
    desk.book.state.choose_cue("b")
    chord(desk, Key.Key_Right, ALT | SHIFT)
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 3)
    told = [
        "new cue Lights 2 at 25/1 in First: Gulls out",
        "new cue Video 3 when she bows, about 1:10 in First: new cue",
        "moved: Video 2 at 0:30.4 in First: cue b",
    ]
    assert [said.text for said in desk.host.book.said[-3:]] == [f"tonight: {words}" for words in told]
    desk.host.end()
    qtbot.waitUntil(lambda: desk.host.session is None, timeout=10_000)
    desk.show_area("Drift")
    chord(desk, Key.Key_C, CTRL | SHIFT)
    assert (
        desk.drift.said.words == "not here: Ctrl+Shift+C (tonight's changes) acts in Book: Ctrl+1 brings it"
    )
    chord(desk, Key.Key_1, CTRL)
    chord(desk, Key.Key_C, CTRL | SHIFT)
    assert [line.cells[1] for line in desk.book.controller.pages.now.lines()] == told
    desk.grab()


def test_moves_that_are_undone_as_one_say_where_the_last_one_went(qtbot, desk):
    desk.book.state.choose_item("first")
    desk.book.state.choose_cue("b")
    for _ in range(3):
        chord(desk, Key.Key_Right, ALT)
    chord(desk, Key.Key_Z, CTRL)
    assert desk.book.foot_words()[0] == "undone: moved: Video 2 at 0:30.3 in First: cue b"


def test_what_is_over_is_refused_at_the_foot_and_nothing_is_sent(qtbot, desk):
    on(qtbot, desk, "first")
    chord(desk, Key.Key_T, CTRL)
    assert "First is on" in desk.book.foot_words()[0]
    assert desk.host.book.changes == []
    assert desk.store.show_now == of_run(desk)


def test_what_the_engine_refuses_is_not_a_step_that_undo_takes_back(qtbot, desk):
    """Two keys within one frame: the second is tried by the engine alone, and refused there."""
    on(qtbot, desk, "first")
    desk.book.state.choose_cue("b")
    chord(desk, Key.Key_Right, ALT | SHIFT)
    assert desk.store.tonight.waiting == 1
    desk.book.state.choose_item("first")
    chord(desk, Key.Key_T, CTRL)
    assert desk.store.tonight.waiting == 2
    qtbot.waitUntil(lambda: desk.store.tonight.waiting == 0)
    assert "First is on" in desk.book.foot_words()[0]
    assert desk.store.show_now is of_run(desk)
    assert not desk.store.show_now.items[0].out
    chord(desk, Key.Key_Z, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 2)
    qtbot.waitUntil(lambda: desk.store.tonight.waiting == 0)
    assert of_run(desk) == desk.store.document
    chord(desk, Key.Key_Z, CTRL)
    assert "nothing to undo" in desk.book.foot_words()[0]


def test_a_look_at_a_show_that_stays_the_same_compares_nothing(qtbot, desk):
    """It is asked at every frame."""
    on(qtbot, desk, "first")
    desk.book.state.choose_cue("b")
    chord(desk, Key.Key_Right, ALT | SHIFT)
    qtbot.waitUntil(lambda: desk.store.tonight.waiting == 0)
    assert desk.store.show_now is of_run(desk)


def test_the_book_itself_is_changed_again_after_the_key_and_after_the_show(qtbot, desk):
    on(qtbot, desk)
    chord(desk, Key.Key_T, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 1)
    chord(desk, Key.Key_T, CTRL | SHIFT)
    assert desk.store.tonight is None
    assert items_of(desk.store.show_now)[1] == ("second", False)
    chord(desk, Key.Key_T, CTRL | SHIFT)
    assert items_of(desk.store.show_now)[1] == ("second", True)
    desk.host.end()
    qtbot.waitUntil(lambda: desk.host.session is None, timeout=10_000)
    qtbot.waitUntil(lambda: desk.store.tonight is None)
    assert "1 change was made in the show" in desk.book.foot_words()[0]


def test_after_the_show_each_change_is_put_into_the_book_by_itself(qtbot, desk):
    on(qtbot, desk)
    chord(desk, Key.Key_T, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 1)
    desk.book.state.choose_item("third")
    chord(desk, Key.Key_Up, ALT)
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 2)
    desk.host.end()
    qtbot.waitUntil(lambda: desk.host.session is None, timeout=10_000)
    chord(desk, Key.Key_C, CTRL | SHIFT)
    page = desk.book.controller.pages.now
    assert [line.cells[3] for line in page.lines()] == [CAN, CAN]
    chord(desk, Key.Key_Return)
    assert items_of(desk.store.document) == [("first", False), ("second", True), ("third", False)]
    assert [line.cells[3] for line in page.lines()] == [IN, CAN]
    chord(desk, Key.Key_Return)
    assert items_of(desk.store.document) == [("first", False), ("third", False), ("second", True)]
    chord(desk, Key.Key_Z, CTRL)
    assert items_of(desk.store.document) == [("first", False), ("second", True), ("third", False)]
    assert page.lines()[1].cells[3] == CAN


def test_what_the_book_has_is_known_there_also_when_the_page_is_opened_anew(qtbot, desk):
    """A cue put in and taken back, another put in by the same id, one moved twice: only what the show ended
    with is offered, and nothing of it again."""
    on(qtbot, desk, "first")
    desk.book.controller.cues.new_cue_typed("video 0:20 hands")
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 1)
    chord(desk, Key.Key_Z, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 2)
    desk.book.state.choose_cue("b")
    for n in (3, 4):
        chord(desk, Key.Key_Right, ALT | SHIFT)
        qtbot.waitUntil(lambda n=n: len(desk.host.book.changes) == n)
    desk.book.controller.cues.new_cue_typed("video 0:25 bow")
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 5)
    expected = of_run(desk)
    desk.host.end()
    qtbot.waitUntil(lambda: desk.host.session is None, timeout=10_000)
    chord(desk, Key.Key_C, CTRL | SHIFT)
    states = [line.cells[3] for line in desk.book.controller.pages.now.lines()]
    assert states == [AGAIN, AGAIN, AGAIN, CAN, CAN]
    chord(desk, Key.Key_Return)
    chord(desk, Key.Key_Return)
    assert desk.store.document == expected
    chord(desk, Key.Key_Escape)
    chord(desk, Key.Key_C, CTRL | SHIFT)
    page = desk.book.controller.pages.now
    assert [line.cells[3] for line in page.lines()] == [AGAIN, AGAIN, AGAIN, IN, IN]
    assert "0 not in the book" in page.lead()
    chord(desk, Key.Key_Return)
    assert desk.store.document == expected


def test_another_day_the_changes_are_read_from_the_tour(qtbot, desk, tmp_path):
    on(qtbot, desk)
    chord(desk, Key.Key_T, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.changes) == 1)
    desk.host.end()
    qtbot.waitUntil(lambda: desk.host.session is None, timeout=10_000)
    qtbot.waitUntil(lambda: len(desk.host.tour.runs()) == 1, timeout=10_000)
    desk.host._preview.records.clear()  # as in a window opened anew
    chord(desk, Key.Key_C, CTRL | SHIFT)
    lines = desk.book.controller.pages.now.lines()
    assert [line.cells[3] for line in lines] == [CAN]
    assert "rehearsal 1" in desk.book.controller.pages.now.lead()


def test_without_a_show_or_without_the_calls_nothing_goes_to_a_show(qtbot, desk):
    chord(desk, Key.Key_T, CTRL | SHIFT)
    assert "no show is on" in desk.book.foot_words()[0]
    on(qtbot, desk)
    desk.host.session.send(c.TakeCalls("elsewhere", "Bo", "she is ill"))
    qtbot.waitUntil(lambda: not desk.host.session.has_calls)
    chord(desk, Key.Key_T, CTRL)
    assert "has the calls" in desk.book.foot_words()[0]
    assert desk.host.book.changes == []


def test_drift_reads_a_night_that_was_changed(qtbot, desk):
    on(qtbot, desk, "first")
    desk.book.controller.cues.new_cue_typed("video 1:59 bow")
    qtbot.waitUntil(lambda: any(cue.label == "bow" for cue in of_run(desk).all_cues()))
    new = next(cue.id for cue in of_run(desk).all_cues() if cue.label == "bow")
    desk.host.session.send(c.Jump("first", new, cue_up=False))
    desk.host.session.send(c.Go(f"first:{new}"))
    qtbot.waitUntil(lambda: any(e.kind == "fired" for r in desk.host.book.records for e in r.events))
    desk.host.end()
    qtbot.waitUntil(lambda: desk.host.session is None, timeout=10_000)
    desk.show_area("Drift")
    qtbot.waitUntil(lambda: desk.drift.state.view is not None, timeout=10_000)
    report = desk.drift.state.view.report
    assert any(row.cue == new for row in report.cues)
    assert [i.item.id for i in report.plan.items] == ["first", "second", "third"]
