"""Whatever is done in whatever order: what is chosen is there, and the strip shows a part of the item."""

import random

import pytest
from desk_window import desk_on
from small_shows import cue, document, item

from showcaller.desk.actions import ACTIONS
from showcaller.editing.cues import item_at
from showcaller.editing.keeping import Keeper
from showcaller.run.commands import Go
from showcaller.run.last_edition import last_edition

ASKS_A_FILE = ("book.import", "book.check")
ACTS = [a.id for a in ACTIONS.values() if a.where == ("Book",) and a.id not in ASKS_A_FILE] + ["undo", "redo"]
TO_THE_BOOK = ("book.tonight", "book.changes")
"""What may put a change of tonight into the book, and is meant to."""
TYPED = ("lights 5/3 Count in", "talk The ferry 1:30", "lights 1 to 99 from 100 by 10", "lights 2", "7", "")
STEPS = 120


@pytest.fixture
def book(qtbot, tmp_path):
    bar = {"at": "bar", "bar": 9, "beat": 1}
    items = [
        item("first", 120, [cue("a", "1", bar), cue("b", "2", 30, "video")], tempo=[{"bar": 1, "bpm": 120}]),
        item("second", 60, [cue("c", "3", 10)]),
        {"kind": "talk", "id": "talk", "name": "Talk", "length_s": 60},
    ]
    with desk_on(qtbot, tmp_path, document(items)) as window:
        yield window


def answer(window, draw) -> None:
    """Type something at the foot or into the field that is open, or leave it."""
    prompt, edit = window.prompt, window.book.edit
    if prompt.is_open():
        prompt._edit.setText(draw.choice(TYPED))
        prompt._edit.returnPressed.emit()
        prompt.leave()
    if edit.is_open():
        edit._line.setText(draw.choice(TYPED))
        if not edit.take():
            edit.leave()


@pytest.mark.parametrize("seed", range(4))
def test_what_is_chosen_is_there_after_any_act(book, seed):
    draw, state = random.Random(seed), book.book.state
    for _ in range(STEPS):
        name = draw.choice(ACTS)
        book.performer.do(name)
        answer(book, draw)
        show, chosen = book.store.show_now, state.chosen
        ids = [c.id for c in item_at(show, chosen.item).cues]
        assert chosen.cue is None or chosen.cue in ids, name
        assert state.planned is not None
        assert state.planned.item.id == chosen.item, name
        now = state.zoom.now
        assert 0 <= now.start_s <= now.start_s + now.span_s <= float(state.planned.item.length_s) + 1e-6, name
        assert state.form.fields, name
    assert not book.grab().isNull()
    saved = book.store.show_now
    book.store.keeper.flush()
    assert Keeper(book.store.keeper.path).show == saved, "what is seen is what is kept"


@pytest.mark.parametrize("seed", range(3))
def test_whatever_is_changed_for_tonight_is_what_the_run_has(qtbot, book, seed):
    """Acts in any order while a rehearsal runs: nothing breaks, nothing that has fired is touched, the desk
    shows what the engine runs, and the book on disk is as it was."""
    draw, state = random.Random(seed), book.book.state
    before = book.store.document
    assert book.host.open("Ines", muted=True) is None
    qtbot.waitUntil(lambda: book.host.book.state.phase == "running")
    book.host.session.send(Go("first:start"))
    qtbot.waitUntil(lambda: book.host.book.state.clock_ns is not None)
    for n in range(400):
        if n >= 80 and (book.store.tonight.waiting or book.host.book.changes):
            break  # enough, and something was tried
        name = draw.choice([a for a in ACTS if a not in TO_THE_BOOK] if n else ["book.tonight"])
        book.performer.do(name)
        answer(book, draw)
        book.frame()
        show, chosen = book.store.show_now, state.chosen
        assert chosen.cue is None or chosen.cue in [c.id for c in item_at(show, chosen.item).cues], name
    qtbot.waitUntil(lambda: not book.store.tonight.waiting)
    book.frame()
    run = book.host.book.compiled.plan.show
    assert book.store.show_now == run
    assert run.items[0].id == "first"
    assert book.host.book.changes, "it was tried"
    assert book.store.document == before
    assert last_edition(before, book.host.book.records) == run
