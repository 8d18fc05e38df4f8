"""What was played in a show is kept: as a look, a cue at a bar, a variation of its place; and undone."""

import pytest
from desk_keys import answer, chord
from PySide6.QtCore import Qt
from test_live_hands import ALT, CTRL, heard, put_up
from wall_desk import open_live
from wall_show import wall_show

from showcaller.desk.window import DeskWindow
from showcaller.editing import ChangeError, apply
from showcaller.model import Show
from showcaller.run import commands as c
from showcaller.run.compiled import NS, compile_show
from showcaller.run.kept_changes import as_cue, as_look, as_variation
from showcaller.run.machine import first_state, step
from showcaller.run.state import OnWall
from showcaller.screen.looks import resolved
from showcaller.timing.plan import compile_plan

SHOW = wall_show()


def played(*given: c.Input, show: Show = SHOW) -> OnWall:
    compiled = compile_show(compile_plan(show))
    state = first_state(compiled)
    for n, one in enumerate((c.Start(), c.Go("gulls:start"), *given)):
        state, out = step(compiled, state, one, n * NS)
        assert out.refused is None, out.refused
    assert state.on_wall is not None
    return state.on_wall


def test_a_look_is_kept_as_it_stands_and_its_inverse_takes_it_out() -> None:
    on = played(
        c.PutLook("wide"), c.PlayLayer("cam-1", {"source": "cam-2", "opacity": 0.5, "left_m": 3}, 2),
        c.PlayLayer("sea", {"hidden": True}, 2),
    )  # fmt: skip
    change, ident = as_look(SHOW, on, SHOW, "Roof, small")
    made, inverse = apply(SHOW, change)
    (layer,) = made.looks[-1].layers
    assert (ident, layer.source, layer.opacity, layer.left_m, layer.key) == (
        "roof-small",
        "cam-2",
        0.5,
        3,
        "cam-1",
    )
    assert apply(made, inverse)[0] == SHOW


def test_a_cue_at_a_bar_brings_the_look_with_what_was_otherwise() -> None:
    on = played(c.PutLook("wide"), c.PlayLayer("cam-1", {"opacity": 0.5, "left_m": 3}, 2))
    made, inverse = apply(SHOW, as_cue(SHOW, on, SHOW, "gulls", {"at": "bar", "bar": 13}, 24))
    (cue,) = [x for x in made.items[0].cues if x.id not in {y.id for y in SHOW.items[0].cues}]
    assert (cue.anchor.bar, cue.department, cue.label, str(cue.number)) == (13, "video", "Wide", "2.5")
    assert cue.look is not None
    assert [(x.source, x.left_m, x.opacity) for x in resolved(made, cue.look).layers] == [
        ("sea", 0, 1), ("cam-1", 3, 0.5)
    ]  # fmt: skip
    assert made.looks == SHOW.looks
    assert apply(made, inverse)[0] == SHOW


def test_where_no_cue_can_say_it_a_look_is_made_with_the_cue() -> None:
    twice = SHOW.looks[1].changed(layers=(*SHOW.looks[1].layers, SHOW.looks[1].layers[1].changed(left_m=1)))
    show = SHOW.changed(looks=(SHOW.looks[0], twice, *SHOW.looks[2:]))
    on = played(c.PutLook("wide"), c.PlayLayer("cam-1#2", {"opacity": 0.5}, 2), show=show)
    made, _ = apply(show, as_cue(show, on, show, "gulls", {"at": "bar", "bar": 13}, 24))
    assert made.looks[-1].name == "Wide as played"
    assert [x.opacity for x in made.looks[-1].layers] == [1, 1, 0.5]
    with pytest.raises(ChangeError, match="keep it as a look"):
        as_variation(show, on, show)


def test_a_variation_is_of_the_cue_that_brought_the_look_alone() -> None:
    on = played(c.Go("gulls:v2"), c.PlayLayer("cam-1", {"opacity": 0.5}, 2))
    made, inverse = apply(SHOW, as_variation(SHOW, on, SHOW))
    look = made.items[0].cues[1].look
    assert look is not None
    assert (look.by, look.beats, look.overrides[0].opacity) == ("mix", 8, 0.5)
    assert made.items[1] == SHOW.items[1]
    assert apply(made, inverse)[0] == SHOW
    with pytest.raises(ChangeError, match="no cue brought this look here"):
        as_variation(SHOW, played(c.PutLook("wide")), SHOW)


def test_in_a_show_it_goes_to_the_book_and_undo_there_takes_it_back(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    put_up(qtbot, desk, "wide")
    desk.wall.state.chosen = "cam-1"
    chord(desk, Qt.Key.Key_PageDown, ALT)
    heard(qtbot, desk)
    before = desk.store.show_now
    chord(desk, Qt.Key.Key_Return, CTRL)
    answer(qtbot, desk, "variation")
    assert desk.prompt.isVisible()  # no cue brought this one; it says so and stays open
    desk.prompt._edit.clear()
    answer(qtbot, desk, "bar 9")
    assert desk.wall.said.words == "kept as a cue at bar 9, in the book; Ctrl+Z in the Book takes it back"
    new = [x for x in desk.store.show_now.items[0].cues if x.id not in {y.id for y in before.items[0].cues}]
    assert new[0].look.overrides[0].opacity == 0.95
    assert desk.host.book.compiled.plan.show.items[0].cues == before.items[0].cues  # tonight's is as it was
    chord(desk, Qt.Key.Key_Return, CTRL)
    answer(qtbot, desk, "Faint gate")
    assert desk.store.show_now.looks[-1].name == "Faint gate"
    desk.show_area("Book")
    chord(desk, Qt.Key.Key_Z, CTRL)
    chord(desk, Qt.Key.Key_Z, CTRL)
    assert desk.store.show_now == before


def test_while_changes_are_for_tonight_it_goes_to_the_show_that_is_on(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    put_up(qtbot, desk, "wide")
    desk.store.change_tonight(desk.host.session)
    chord(desk, Qt.Key.Key_Return, CTRL)
    answer(qtbot, desk, "bar 30")
    assert "kept as a cue at bar 30, in tonight's show" in desk.wall.said.words
    qtbot.waitUntil(lambda: len(desk.host.book.compiled.plan.show.items[0].cues) == 5)
    assert len(desk.store.document.items[0].cues) == 4
