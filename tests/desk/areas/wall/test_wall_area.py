"""The wall area used as a director does: looked at, played, dragged, typed into, tried, compared; live."""

import socket
from pathlib import Path

import numpy as np
import pytest
from desk_keys import answer, chord
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pythonosc.osc_message import OscMessage as Parsed
from wall_desk import at_m, drag, layer, open_live, seek

from showcaller.desk.areas.wall.here import bar_now
from showcaller.desk.areas.wall.sound import Sound
from showcaller.desk.window import DeskWindow
from showcaller.editing import SetFields
from showcaller.screen.faults import Panel
from showcaller.screen.looks import layer_keys

CTRL, ALT, SHIFT = (
    Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ShiftModifier,
)  # fmt: skip


def test_the_wall_is_composed_and_says_where_it_is(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    desk.wall.settle(5.0)
    view = desk.wall.state.view
    assert view is not None
    assert view.title == "Gulls"
    assert view.line.startswith("Verse · bar 13 · 0:25 · look “Wide” · next “Faces”: cut, in 0:07")
    assert [(r.name, r.cost) for r in view.rows] == [("Gate camera", "2 ch"), ("Sea", "direct")]
    assert [(c.name, c.words) for c in view.cards][:2] == [
        ("Gate camera", "on wall"),
        ("Roof camera", "in 0:07"),
    ]
    image = desk.wall.projector.newest()
    assert image is not None
    pixels = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)
    inside = pixels[image.height() // 2, image.width() // 2].astype(int)
    beside = pixels[image.height() // 2, image.width() // 8].astype(int)
    assert np.abs(inside - beside).max() > 20  # the camera's card over the clip's


def test_a_composer_that_dies_is_started_again_and_the_desk_goes_on(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    projector = desk.wall.projector
    projector.settle(5.0)
    first = projector._process
    assert first is not None
    first.kill()
    qtbot.waitUntil(lambda: projector._process is not first)
    projector._started_s = -1e9
    qtbot.waitUntil(lambda: projector._process is not None)
    projector.settle(5.0)
    assert projector.newest() is not None


def test_a_song_is_short_of_channels_and_the_desk_says_where_and_what_helps(desk: DeskWindow) -> None:
    seek(desk, 65.0)
    view = desk.wall.state.view
    assert view is not None
    assert view.sentences == (
        "Chorus, bar 33: two channels short while “Faces” mixes into “One face”. "
        "A cut there or taking Roof camera off or taking Hand camera off makes it fit.",
    )
    assert [b.over for b in view.pools[0].bars if b.over] == [2]


def test_a_layer_is_dragged_and_it_can_be_undone(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    drag(desk, (20, 5), (26.1, 5.9))
    answer(qtbot, desk, "all")  # the look is used in two places
    assert desk.wall.state.chosen == "cam-1"
    moved = layer(desk)
    assert moved.left_m == pytest.approx(21.1, abs=0.1)
    assert moved.bottom_m == pytest.approx(2.9, abs=0.1)
    assert moved.width_m == 10
    chord(desk, Qt.Key.Key_Z, CTRL)
    assert layer(desk).left_m == 15


def test_a_corner_is_pulled_and_the_picture_keeps_its_shape(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    desk.wall.state.chosen = "cam-1"
    desk.frame()
    drag(desk, (25, 7.625), (28, 8.2))
    answer(qtbot, desk, "")
    answer(qtbot, desk, "all")
    made = layer(desk)
    assert made.width_m > 11
    assert made.width_m / made.height_m == pytest.approx(16 / 9, rel=0.01)
    assert (made.left_m, made.bottom_m) == (15, 2)


def test_keys_choose_nudge_order_and_remove(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    chord(desk, Qt.Key.Key_Up, CTRL)
    assert desk.wall.state.chosen == "sea"
    chord(desk, Qt.Key.Key_Up, CTRL)
    assert desk.wall.state.chosen == "cam-1"
    chord(desk, Qt.Key.Key_Right, ALT)
    answer(qtbot, desk, "all")
    for _ in range(2):
        chord(desk, Qt.Key.Key_Right, ALT)
    chord(desk, Qt.Key.Key_Up, ALT | SHIFT)
    assert (layer(desk).left_m, layer(desk).bottom_m) == (15.15, 2.5)
    chord(desk, Qt.Key.Key_Down, CTRL | SHIFT)
    look = next(k for k in desk.store.show_now.looks if k.id == "wide")
    assert layer_keys(look) == ("cam-1", "sea")
    chord(desk, Qt.Key.Key_Delete)
    look = next(k for k in desk.store.show_now.looks if k.id == "wide")
    assert layer_keys(look) == ("sea",)


def test_a_treatment_is_typed_into_its_field(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    desk.wall.state.chosen = "cam-1"
    desk.frame()
    fields = desk.wall.side.fields
    row = next(n for n, f in enumerate(fields.model_.rows) if f.key == "treatments")
    at = fields.visualRect(fields.model_.index(row, 1)).center()
    QTest.mouseClick(fields.viewport(), Qt.MouseButton.LeftButton, pos=at)
    line = desk.wall.edit._line
    qtbot.keyClicks(line, "sepia")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert desk.wall.edit.is_open()  # what means nothing stays open with the reason
    line.clear()
    qtbot.keyClicks(line, "tint #102A43 #FFB347, posterize 3")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    answer(qtbot, desk, "all")
    assert [t.kind for t in layer(desk).treatments] == ["tint", "posterize"]


def test_space_plays_against_the_clock_and_arrows_step_looks(qtbot, desk: DeskWindow) -> None:
    chord(desk, Qt.Key.Key_Right)
    desk.frame()
    assert desk.wall.state.scene is not None
    assert desk.wall.state.scene.standing.look.id == "wide"
    assert desk.wall.state.scene.at_s == 20.0  # where the mix has arrived
    chord(desk, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: desk.wall.state.scene.at_s > 20.3 and desk.wall.projector.counters().rate > 5)
    chord(desk, Qt.Key.Key_Space)
    desk.frame()
    stood = desk.wall.state.scene.at_s
    qtbot.wait(40)
    assert desk.wall.state.scene.at_s == stood
    chord(desk, Qt.Key.Key_Down)
    desk.frame()
    assert desk.wall.state.view is not None
    assert desk.wall.state.view.title == "Lamps"


def test_long_after_its_cue_a_preview_is_a_new_cue_and_the_look_before_stays(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    chord(desk, Qt.Key.Key_T, CTRL)
    answer(qtbot, desk, "one f")
    desk.frame()
    assert "Ctrl+Enter puts it into a new cue at bar 13, Esc goes back" in desk.wall.state.view.line
    before = desk.store.show_now.items[0].cues
    chord(desk, Qt.Key.Key_Return, CTRL)
    desk.frame()
    assert desk.wall.said.words.startswith("a new cue at bar 13 brings “One face”; ")
    now = desk.store.show_now.items[0].cues
    assert now[:-1] == before
    assert (now[-1].look.look, now[-1].anchor.bar, now[-1].department) == ("one", 13, "video")


def test_where_the_song_is_is_drawn_also_when_nothing_else_is_otherwise(qtbot, desk: DeskWindow) -> None:
    graph = desk.wall.graph
    seek(desk, 20.0)
    qtbot.wait(50)
    drawn = []
    graph.draw = lambda _paper: drawn.append(graph.at_s)  # type: ignore[method-assign]
    seek(desk, 22.0)  # the same look, the same channels
    qtbot.waitUntil(lambda: 22.0 in drawn)


def test_a_look_is_tried_kept_or_discarded(qtbot, desk: DeskWindow) -> None:
    seek(desk, 16.5)
    chord(desk, Qt.Key.Key_T, CTRL)
    answer(qtbot, desk, "one f")
    desk.frame()
    assert desk.wall.state.scene.standing.look.id == "one"
    assert "“One face”, previewed: Ctrl+Enter puts it into cue 2, Esc goes back" in desk.wall.state.view.line
    assert desk.store.show_now.items[0].cues[1].look.look == "wide"
    chord(desk, Qt.Key.Key_Escape)
    desk.frame()
    assert desk.wall.said.words == "here it is as in the book again; “One face” stays among the looks"
    assert desk.wall.state.scene.standing.look.id == "wide"
    chord(desk, Qt.Key.Key_T, CTRL)
    answer(qtbot, desk, "One face")
    desk.frame()
    chord(desk, Qt.Key.Key_Return, CTRL)
    desk.frame()
    kept = desk.store.show_now.items[0].cues[1].look
    assert (kept.look, kept.by, kept.beats) == ("one", "mix", 8)
    assert desk.wall.said.words.startswith("cue 2 brings “One face”; ")
    assert not desk.wall.state.rehearsal.tried


def test_where_no_cue_stands_a_preview_is_kept_as_a_new_cue_here(qtbot, desk: DeskWindow) -> None:
    chord(desk, Qt.Key.Key_Down)  # Lamps, whose only cue comes at 0:10
    seek(desk, 3.0)
    chord(desk, Qt.Key.Key_T, CTRL)
    answer(qtbot, desk, "Faces")
    desk.frame()
    assert "Ctrl+Enter puts it into a new cue here" in desk.wall.state.view.line
    chord(desk, Qt.Key.Key_Return, CTRL)
    desk.frame()
    made = desk.store.show_now.items[1].cues[-1]
    assert (made.department, made.look.look, made.anchor.seconds) == ("video", "faces", 3)
    assert desk.wall.said.words.startswith("a new cue at 3 s brings “Faces”; ")
    assert desk.wall.state.scene.standing.look.id == "faces"
    assert desk.store.undo() == "a new cue at 3 s brings “Faces”"


def test_a_layer_is_otherwise_in_one_place_only_and_as_everywhere_again(desk: DeskWindow) -> None:
    seek(desk, 25.0)
    desk.wall.state.chosen = "cam-1"
    chord(desk, Qt.Key.Key_H, CTRL)
    chord(desk, Qt.Key.Key_Right, ALT | SHIFT)
    assert layer(desk).left_m == 15  # the look itself
    assert desk.wall.state.scene.standing.look.layers[1].left_m == 15.5
    assert "here only" in desk.wall.state.view.rows[0].more
    assert desk.store.show_now.items[1].cues[0].look.overrides == ()
    chord(desk, Qt.Key.Key_H, CTRL)
    assert desk.wall.state.scene.standing.look.layers[1].left_m == 15
    chord(desk, Qt.Key.Key_H, CTRL | SHIFT)
    assert [x.key for x in desk.wall.state.scene.standing.look.layers] == ["sea"]


def test_how_a_look_comes_is_typed(qtbot, desk: DeskWindow) -> None:
    seek(desk, 65.0)
    chord(desk, Qt.Key.Key_B, CTRL)
    answer(qtbot, desk, "cut")
    desk.frame()
    assert desk.store.show_now.items[0].cues[3].look.by == "cut"
    assert desk.wall.state.view.sentences == ()


def test_two_editions_are_compared(qtbot, desk: DeskWindow) -> None:
    tour = desk.host.tour
    other = desk.store.show_now
    first = other.items[0]
    cues = (first.cues[0].changed(look={"look": "faces"}), *first.cues[1:])
    tour.add_edition(other.changed(name="Yesterday", items=(first.changed(cues=cues), *other.items[1:])))
    number = tour.editions()[-1].number
    seek(desk, 5.0)
    chord(desk, Qt.Key.Key_D, CTRL)
    answer(qtbot, desk, str(number))
    desk.frame()
    assert desk.wall.state.scene.standing.look.id == "faces"
    chord(desk, Qt.Key.Key_Delete)
    assert "is read-only" in desk.wall.said.words
    chord(desk, Qt.Key.Key_D, CTRL)
    desk.frame()
    assert desk.wall.state.scene.standing.look.id == "sea"


def test_a_new_layer_a_new_look_and_a_template(qtbot, desk: DeskWindow) -> None:
    seek(desk, 5.0)
    chord(desk, Qt.Key.Key_N, CTRL)
    answer(qtbot, desk, "roof")
    assert [x.source for x in desk.store.show_now.looks[0].layers] == ["sea", "cam-2"]
    chord(desk, Qt.Key.Key_N, CTRL | SHIFT)
    answer(qtbot, desk, "Sea with roof")
    desk.frame()
    assert desk.wall.state.scene.standing.look.name == "Sea with roof"
    chord(desk, Qt.Key.Key_Tab)
    chord(desk, Qt.Key.Key_N, CTRL)
    answer(qtbot, desk, "processor, look: /look {look}")
    assert desk.store.show_now.sends[1].address == "/look"
    desk.frame()
    desk.wall.repaint()
    chord(desk, Qt.Key.Key_Return)  # into the first template
    line = desk.wall.edit._line
    line.setText(line.text().replace("px", "unit"))
    qtbot.keyClick(line, Qt.Key.Key_Tab)
    assert desk.store.show_now.sends[0].numbers == "unit"
    desk.wall.edit._line.clear()
    qtbot.keyClick(desk.wall.edit._line, Qt.Key.Key_Return)
    assert [s.id for s in desk.store.show_now.sends] == ["place"]


def test_a_look_in_a_line_is_made_with_its_cue_and_taken_back_as_one(qtbot, desk: DeskWindow) -> None:
    before = desk.store.show_now
    chord(desk, Qt.Key.Key_N, CTRL | SHIFT)
    answer(qtbot, desk, "Duet at 49: Sea, gate left, hand camera right, grow over 4 after 8, mix over 8")
    show = desk.store.show_now
    assert [x.key for x in show.looks[-1].layers] == ["sea", "cam-1", "cam-3"]
    cue = show.items[0].cues[-1]
    assert (cue.label, cue.anchor.bar, cue.look.look, cue.look.by, cue.look.beats) == (
        "Duet", 49, "duet", "mix", 8,
    )  # fmt: skip
    desk.frame()
    # The wall went there, to where all of it has arrived: bar 49 is at 96 s, a beat half a second.
    state = desk.wall.state
    assert (state.scene.standing.look.name, state.scene.at_s) == ("Duet", 102.0)
    assert {p.key for p in state.picture.layers} == {"sea", "cam-1", "cam-3"}
    assert "a new cue at bar 49 of Gulls brings it, mix over 8 beats" in desk.wall.said.words
    chord(desk, Qt.Key.Key_Z, CTRL)
    assert desk.store.show_now == before


def test_a_look_for_a_bar_that_has_one_goes_into_its_cue(qtbot, desk: DeskWindow) -> None:
    chord(desk, Qt.Key.Key_N, CTRL | SHIFT)
    answer(qtbot, desk, "Roof alone at 17: Roof camera")
    show = desk.store.show_now
    assert len(show.items[0].cues) == 4
    assert show.items[0].cues[2].look.look == "roof-alone"
    assert "cue 3 at bar 17 of Gulls brings it, cut, instead of “Faces”" in desk.wall.said.words


def test_a_look_with_a_cue_of_its_own_leaves_another_preview_as_it_is(qtbot, desk: DeskWindow) -> None:
    chord(desk, Qt.Key.Key_Down)  # to the second item, which begins with what was before
    desk.frame()
    seek(desk, 2.0)
    chord(desk, Qt.Key.Key_T, CTRL)
    answer(qtbot, desk, "faces")
    tried = dict(desk.wall.state.rehearsal.tried)
    assert list(tried) == [("lamps", "")]
    chord(desk, Qt.Key.Key_N, CTRL | SHIFT)
    answer(qtbot, desk, "Lone at 0:40: Roof camera")
    assert desk.store.show_now.items[1].cues[-1].look.look == "lone"
    assert desk.wall.state.rehearsal.tried == tried


def test_what_is_typed_is_read_back_before_it_is_made(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)

    def said(key: Qt.Key, held, text: str) -> str:
        chord(desk, key, held)
        qtbot.keyClicks(desk.prompt._edit, text)
        words = desk.prompt._hint.text()
        qtbot.keyClick(desk.prompt._edit, Qt.Key.Key_Escape)
        qtbot.wait(40)  # no finger presses a key again so soon
        return words

    look = said(
        Qt.Key.Key_N, CTRL | SHIFT, "x at 17: Sea, posterize, gate left, grow over 4 after 8, mix over 2"
    )
    assert look == (
        "“x” at bar 17, mix over 2 beats, instead of “Faces”: Sea all over, posterize 4; "
        "Gate camera 13.333 × 10.00 m at 0.00, 0.00 m, grow over 4 after 8"
    )
    assert said(Qt.Key.Key_N, CTRL, "Sea lower half") == "Sea 40.00 × 5.00 m at 0.00, 0.00 m"
    assert "'wobble 3' is no source, and nothing that is done to Sea" in said(
        Qt.Key.Key_N, CTRL, "Sea, wobble 3"
    )
    made = said(Qt.Key.Key_N, CTRL | ALT, "Buoy, camera; Tide, clip, tide.mp4")
    assert made == "2 sources: Buoy, camera; Tide, clip, tide.mp4"
    assert said(Qt.Key.Key_B, CTRL, "mix over 8 slow end") == "mix over 8 beats, slow end"
    assert "how the look changes: 'mx' is not one of them" in said(Qt.Key.Key_B, CTRL, "mx over 8")


def test_escape_lets_go_of_the_chosen_layer(desk: DeskWindow) -> None:
    seek(desk, 25.0)
    desk.wall.controller.choose_layer("cam-1")
    chord(desk, Qt.Key.Key_Escape)
    assert desk.wall.state.chosen is None
    assert not desk.wall.leave()


def test_a_look_that_will_not_do_leaves_the_line_open_and_the_show_as_it_was(qtbot, desk: DeskWindow) -> None:
    before = desk.store.show_now
    chord(desk, Qt.Key.Key_N, CTRL | SHIFT)
    for text, why in (
        ("Late at 99: Sea", "'Gulls' is over before bar 99: type an earlier bar or time"),
        ("Wide: Sea", "a look is called “Wide” already; type another name"),
        ("Duet at 0", "there is no bar 0; bars and beats count from 1"),
        ("Duet at 20 Sea, gate left", "a colon is missing before what is on it: Duet at 20: Sea, gate left"),
        ("Duet; Sea", "a colon is missing before what is on it: Duet: Sea"),
    ):
        line = desk.prompt._edit
        line.clear()
        qtbot.keyClicks(line, text)
        assert why in desk.prompt._hint.text()  # it is said before anything is made
        qtbot.keyClick(line, Qt.Key.Key_Return)
        assert desk.prompt.isVisible()
        assert why in desk.prompt._hint.text()
    qtbot.keyClick(desk.prompt._edit, Qt.Key.Key_Escape)
    assert desk.store.show_now == before


def test_a_layer_on_a_look_of_several_places_asks_and_here_only_is_a_variation(
    qtbot, desk: DeskWindow
) -> None:
    before = desk.store.show_now
    seek(desk, 25.0)
    chord(desk, Qt.Key.Key_N, CTRL)
    answer(qtbot, desk, "hand camera right")
    assert "“Wide” is used in 2 places: all, or here only?" in desk.prompt._label.text()
    answer(qtbot, desk, "here")
    show = desk.store.show_now
    assert show.looks[1] == before.looks[1]
    own = show.items[0].cues[1].look
    made = next(k for k in show.looks if k.id == own.look)
    assert (made.name, [x.source for x in made.layers]) == ("Wide, variation 2", ["sea", "cam-1", "cam-3"])
    assert (own.by, own.beats, show.items[1].cues[0].look.look) == ("mix", 8, "wide")
    chord(desk, Qt.Key.Key_Z, CTRL)
    assert desk.store.show_now == before
    desk.frame()
    chord(desk, Qt.Key.Key_N, CTRL)
    answer(qtbot, desk, "hand camera right")
    answer(qtbot, desk, "all")
    assert [x.source for x in desk.store.show_now.looks[1].layers] == ["sea", "cam-1", "cam-3"]


def test_a_look_that_is_only_previewed_here_asks_before_it_changes_where_it_is_used(
    qtbot, desk: DeskWindow
) -> None:
    seek(desk, 25.0)
    chord(desk, Qt.Key.Key_T, CTRL)
    answer(qtbot, desk, "one face")
    desk.frame()
    before = desk.store.show_now
    chord(desk, Qt.Key.Key_N, CTRL)
    answer(qtbot, desk, "hand camera right")
    assert "“One face” is used in 1 place: all, or here only?" in desk.prompt._label.text()
    answer(qtbot, desk, "here")
    assert "keep the preview first" in desk.prompt._hint.text()
    assert desk.store.show_now == before


def test_filling_cuts_and_does_not_distort(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    desk.wall.controller.choose_layer("cam-1")
    chord(desk, Qt.Key.Key_J, CTRL | SHIFT)
    answer(qtbot, desk, "all")  # the look is used in two places
    filled = desk.store.show_now.looks[1].layers[1]
    assert (filled.left_m, filled.width_m, filled.height_m) == (10, 10, 10)
    # 16 : 9 in a square: 7/16 of the width go, half of it at each side.
    assert (filled.crop.left, filled.crop.right, filled.crop.top) == (
        pytest.approx(7 / 32, abs=1e-4), filled.crop.left, 0,
    )  # fmt: skip
    chord(desk, Qt.Key.Key_J, CTRL | SHIFT)
    whole = desk.store.show_now.looks[1].layers[1]
    assert (whole.width_m, whole.crop.left) == (40, 0)
    assert whole.crop.top == pytest.approx((1 - 16 / 9 / 4) / 2, abs=1e-4)
    desk.frame()
    assert next(f for f in desk.wall.state.fields if f.key == "shape").text == "undistorted"
    chord(desk, Qt.Key.Key_J, CTRL | SHIFT)
    assert desk.store.show_now.looks[1].layers[1] == whole
    assert "Gate camera fills" in desk.wall.said.words


def test_all_of_a_looks_places_is_asked_again_when_another_look_was_in_front(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    desk.wall.controller.choose_layer("cam-1")
    chord(desk, Qt.Key.Key_J, CTRL | SHIFT)
    answer(qtbot, desk, "all")
    seek(desk, 40.0)
    seek(desk, 25.0)
    desk.wall.controller.choose_layer("cam-1")
    chord(desk, Qt.Key.Key_J, CTRL | SHIFT)
    assert "is used in 2 places" in desk.prompt._label.text()


def test_a_cue_that_has_messages_of_its_own_is_said_to_go_on_sending_them(qtbot, desk: DeskWindow) -> None:
    messages = [{"kind": "osc", "outlet": "processor", "address": "/look", "args": ["faces"]}]
    desk.store.do("m", SetFields(at=("items", "gulls", "cues", "v3"), fields={"messages": messages}))
    desk.frame()
    chord(desk, Qt.Key.Key_N, CTRL | SHIFT)
    answer(qtbot, desk, "Roof at chorus: Roof camera")
    assert "cue 3 goes on sending the messages that it has" in desk.wall.said.words
    assert "bar 17" in desk.wall.said.words  # where the section begins


@pytest.mark.parametrize("bar", [2, 3, 7, 40])
def test_at_a_bar_line_it_is_that_bar(desk: DeskWindow, bar: int) -> None:
    # 113 a minute: no bar line but the first is a whole number of microseconds.
    desk.store.do("t", SetFields(at=("items", "gulls"), fields={"tempo": [{"bar": 1, "bpm": 113}]}))
    seek(desk, (bar - 1) * 240 / 113)
    assert f"bar {bar} ·" in desk.wall.state.view.line
    assert bar_now(desk.wall.state.scene) == bar


def test_in_a_run_the_wall_follows_the_log_and_a_look_by_hand_goes_out(
    qtbot, desk: DeskWindow, processor: socket.socket
) -> None:
    open_live(qtbot, desk)
    assert desk.wall.state.scene.live
    assert desk.wall.state.scene.standing.look.id == "sea"
    assert Parsed(processor.recv(2000)).address == "/in-a/1"
    chord(desk, Qt.Key.Key_T, CTRL)
    answer(qtbot, desk, "one face, mix 4")
    qtbot.waitUntil(lambda: len(desk.host.book.looks) == 2)
    desk.frame()
    event = desk.host.book.looks[1]
    assert (event.look, event.by, event.over_s, event.cue) == ("one", "mix", 2.0, None)
    assert event.layers[0]["treatments"] == [{"kind": "posterize", "levels": 4}]
    assert desk.wall.state.scene.standing.look.id == "one"
    got = [Parsed(processor.recv(2000)) for _ in range(7)]
    assert [list(p.params) for p in got[3:]] == [["cam-1", 0, 1000]] * 4
    chord(desk, Qt.Key.Key_Delete)
    assert "following the show" in desk.wall.said.words
    for held in (CTRL, CTRL | SHIFT):  # said at once, and not when all of it was typed
        qtbot.wait(40)
        chord(desk, Qt.Key.Key_N, held)
        assert not desk.prompt.isVisible()
        assert "following the show" in desk.wall.said.words
    chord(desk, Qt.Key.Key_Down)
    desk.frame()
    assert "the plan, not what is on: Ctrl+Home" in desk.wall.state.view.line or (
        "the plan, not what is on: Home" in desk.wall.state.view.line
    )


def test_a_key_marks_the_panel_under_the_mouse_and_again_mends_it(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    desk.wall.screen_.hover = at_m(desk, 12.5, 9.5)
    chord(desk, Qt.Key.Key_F7)
    qtbot.waitUntil(lambda: desk.host.book.state.faults == {Panel(13, 1): "dead"})
    qtbot.wait(80)
    chord(desk, Qt.Key.Key_F7)
    qtbot.waitUntil(lambda: desk.host.book.state.faults == {})
    desk.wall.screen_.hover = None
    qtbot.wait(80)
    chord(desk, Qt.Key.Key_F7)
    answer(qtbot, desk, "strip D dim")
    qtbot.waitUntil(lambda: len(desk.host.book.state.faults) == 10)
    assert set(desk.host.book.state.faults.values()) == {"dim"}
    desk.wall.state.panel = 2
    desk.frame()
    desk.wall.repaint()


def test_where_there_is_no_sound_it_is_said_in_a_line(tmp_path: Path) -> None:
    sound = Sound()
    sound.play(tmp_path / "none.wav", 0.0)
    sound.stop()
    assert "\n" not in sound.trouble


def test_a_look_of_several_places_is_changed_in_all_or_here_only_as_one_says(qtbot, desk: DeskWindow) -> None:
    seek(desk, 25.0)
    desk.wall.state.chosen = "cam-1"
    desk.frame()
    chord(desk, Qt.Key.Key_Right, ALT)
    assert desk.prompt.isVisible()
    assert layer(desk).left_m == 15
    chord(desk, Qt.Key.Key_Escape)
    assert layer(desk).left_m == 15
    chord(desk, Qt.Key.Key_Right, ALT)
    answer(qtbot, desk, "here")
    assert layer(desk).left_m == 15
    assert desk.wall.state.scene.standing.look.layers[1].left_m == 15.05
    chord(desk, Qt.Key.Key_Right, ALT)  # it is otherwise here by now, so nobody asks
    assert desk.wall.state.scene.standing.look.layers[1].left_m == 15.1
    assert desk.store.show_now.items[1].cues[0].look.overrides == ()
    desk.wall.state.chosen = "sea"
    chord(desk, Qt.Key.Key_Delete)
    answer(qtbot, desk, "here only")
    assert [x.key for x in desk.wall.state.scene.standing.look.layers] == ["cam-1"]
    assert [x.key for x in desk.store.show_now.looks[1].layers] == ["sea", "cam-1"]


def test_a_look_of_one_place_is_changed_without_a_question(qtbot, desk: DeskWindow) -> None:
    seek(desk, 45.0)
    desk.wall.state.chosen = "cam-2"
    desk.frame()
    chord(desk, Qt.Key.Key_Right, ALT)
    assert not desk.prompt.isVisible()
    assert desk.store.show_now.looks[2].layers[0].left_m == 0.05
