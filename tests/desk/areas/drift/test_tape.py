"""The tape in the window: plan above, tonight below, at the moment that is chosen or clicked."""

from fractions import Fraction
from math import ceil
from pathlib import Path

import numpy as np
import pytest
from burned import make_recording
from desk_keys import answer, chord
from played import Played
from wall_show import wall_show

from showcaller.archive import TourError
from showcaller.archive.tour import Tour
from showcaller.desk.areas.drift.decisions import deciding_ways
from showcaller.desk.areas.drift.player import Player
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QPoint, Qt
from showcaller.desk.window import DeskWindow
from showcaller.editing import ChangeError
from showcaller.review.strip import snapped
from showcaller.review.voice import LineHeard, heard_text
from showcaller.run import commands as c
from showcaller.run.compiled import NS

PUT = "“Wide” at bar 21 of Gulls, by a new cue that is called: Video 3.5"
CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def night(book):
    """Called as planned, one look by hand from 40 to 64 s."""
    run = Played(book, started=False)
    run.at(0, c.Start("Ada"))
    for t_s in (1, 17, 33):
        run.go(t_s)
    run.at(41, c.PutLook("one", "cut", 0.0))
    run.go(65)
    run.at(121, c.End("curtain"))
    return run.records


@pytest.fixture
def window(qtbot, tmp_path):
    book = wall_show()
    tour = Tour.create(tmp_path / "t.tour", "Small")
    tour.add_run(tour.add_edition(book), night(book), run_id="r0")
    made = DeskWindow(book, tour, tmp_path / "runs", Keys(), seat="director")
    made.resize(1280, 720)
    made.show()
    qtbot.waitExposed(made)
    made.show_area("Drift")
    made.drift.settle()
    yield made
    made.stop()
    made.host.close()


def decision(area):
    """What is to be decided in the chosen line."""
    state = area.state
    return state.decisions.of_row(state.view, state.store.document, state.rows()[state.chosen])


def wide_instead(qtbot, window):
    """Where “One face” was put up by hand, “Wide” instead; the area."""
    area = window.drift
    area.state.ask_stood("bars 21-30")
    area.settle()
    area.state.choose(next(n for n, r in enumerate(area.state.rows()) if "One face" in r.words))
    chord(window, Qt.Key.Key_F5, SHIFT)
    answer(qtbot, window, "wide")
    area.settle()
    return area


def same(area):
    """Whether the two pictures are one."""
    area.settle()
    first, second = area.tape.pictures.planned, area.tape.pictures.tonight
    a, b = (np.frombuffer(i.constBits(), np.uint8) for i in (first, second))
    return bool((a == b).all())


def click_at(qtbot, area, at_s):
    view = area.strip
    qtbot.waitUntil(lambda: area.tape.strip is not None)
    x = round(at_s / area.tape.strip.length_s * view.width())
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(x, view.height() - 40))


def test_what_was_otherwise_is_seen_where_it_was(qtbot, window):
    area = window.drift
    assert area.fall.isVisible()
    area.state.ask_stood("bars 21-30")
    area.settle()
    assert area.strip.isVisible()
    assert not area.fall.isVisible()
    assert not area.offers.isVisible()
    assert [round(x) for x in area.tape.strip.differs[0]] == [40, 64]
    click_at(qtbot, area, 50)
    area.settle()
    assert abs(area.tape.at_s - 50) < 0.2
    assert not same(area)
    click_at(qtbot, area, 36)
    assert same(area)
    assert abs(area.tape.at_s - 36) < 0.2
    area.state.choose(0)  # the look that had come before bar 21 stands there first
    area.settle()
    window.grab()
    assert "One face at 0:40, cut, by hand" in area.strip.accessibleDescription()
    assert all(area.tape.pictures.small(b.look) is not None for b in area.tape.strip.tonight)


def test_a_verdict_with_one_key_a_word_with_the_same_and_what_is_decided_is_in_the_book(qtbot, window):
    area = window.drift
    area.state.ask_stood("bars 21-30")
    area.settle()
    area.state.choose(next(n for n, r in enumerate(area.state.rows()) if "One face" in r.words))
    chord(window, Qt.Key.Key_F2, Qt.KeyboardModifier.ShiftModifier)
    area.settle()
    chord(window, Qt.Key.Key_F2, Qt.KeyboardModifier.ShiftModifier)
    answer(qtbot, window, "hands in the air")
    area.settle()
    (one,) = area.state.view.verdicts
    assert (one.verdict, one.word, one.bar) == ("good", "hands in the air", 21)
    chord(window, Qt.Key.Key_L, CTRL | SHIFT)
    area.settle()
    (row,) = area.state.rows()
    assert row.name == "bar 21 · good"
    assert row.words == (
        "“hands in the air” · “One face” put up by hand · a cue at bar 21 / 1 that brings it: cut"
    )
    assert row.figure == "ready"
    before = area.state.store.document
    chord(window, Qt.Key.Key_Return)
    area.settle()
    (cue,) = [x for x in area.state.store.document.items[0].cues if x.id not in ("v1", "v2", "v3", "v4")]
    assert (cue.look.look, cue.anchor.bar) == ("one", 21)
    (row,) = area.state.rows()
    assert row.figure == "settled"
    assert "applied to the book: a cue at bar 21 / 1" in row.words
    chord(window, Qt.Key.Key_Z, CTRL)
    area.settle()
    assert area.state.store.document == before
    assert [r.figure for r in area.state.rows()] == ["ready"]
    chord(window, Qt.Key.Key_Return, SHIFT)
    answer(qtbot, window, "Bo: try it twice")
    area.settle()
    assert area.state.rows()[0].words.endswith("to Bo: try it twice")
    window.grab()


def test_this_instead_puts_another_look_into_the_book_where_the_recording_is(qtbot, window):
    area = window.drift
    area.state.ask_stood("bars 21-30")
    area.settle()
    area.state.choose(next(n for n, r in enumerate(area.state.rows()) if "One face" in r.words))
    before = area.state.store.document
    chord(window, Qt.Key.Key_F5, SHIFT)
    answer(qtbot, window, "moon")
    assert "'moon' is not one of them" in window.prompt._hint.text()
    window.prompt._edit.clear()
    answer(qtbot, window, "wide")
    area.settle()
    assert "at bar 21 of " in area.said.words
    (cue,) = [x for x in area.state.store.document.items[0].cues if x.id not in ("v1", "v2", "v3", "v4")]
    assert (cue.look.look, cue.anchor.bar) == ("wide", 21)
    chord(window, Qt.Key.Key_L, CTRL | SHIFT)
    area.settle()
    assert [(r.figure, r.words) for r in area.state.rows()] == [
        (
            "settled",
            f"instead · applied to the book: {PUT}",
        )
    ]
    area.state.store.undo()  # in the Book, where nobody knows of the idea
    area.settle()
    assert area.state.store.document == before
    # Taken back there it is open again, with its own change; what was by hand there stands for itself.
    mine, hand = sorted(area.state.rows(), key=lambda r: "by hand" in r.words)
    assert (mine.figure, mine.words) == (
        "ready",
        f"instead · {PUT}",
    )
    assert "“One face” put up by hand" in hand.words
    area.state.choose(area.state.rows().index(mine))
    chord(window, Qt.Key.Key_Return)
    area.settle()
    (cue,) = [x for x in area.state.store.document.items[0].cues if x.id not in ("v1", "v2", "v3", "v4")]
    assert cue.look.look == "wide"


def test_a_verdict_takes_no_idea_s_place_and_the_line_that_was_chosen_stays_chosen(qtbot, window):
    area = wide_instead(qtbot, window)
    chord(window, Qt.Key.Key_F3, SHIFT)  # bad, at the very moment of the idea
    area.settle()
    chord(window, Qt.Key.Key_L, CTRL | SHIFT)
    area.settle()

    def lines():
        return [(r.name.split(" · ")[-1], r.figure, r.words) for r in area.state.rows()]

    assert ("idea", "settled") in [x[:2] for x in lines()]
    bad = next(x for x in lines() if x[0] == "bad")
    assert bad[1] != "settled"
    # The verdict came last, so it is what is taken back first; the book keeps its change.
    book = area.state.store.document
    chord(window, Qt.Key.Key_Z, CTRL)
    area.settle()
    assert area.said.words == "undone: bad"
    assert area.state.store.document is book
    assert not area.state.view.verdicts[1:]
    assert not any(r.name == "bad" for r in area.state.view.rows["notes"])
    # Taken back and applied again, the chosen line is the same one, wherever the list has it then.
    area.state.store.undo()
    area.settle()
    area.state.choose(next(n for n, x in enumerate(lines()) if x[0] == "idea"))
    for key, held, figure in (
        (Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier, "settled"),
        (Qt.Key.Key_Z, CTRL, "ready"),
    ):
        chord(window, key, held)
        area.settle()
        chosen = area.state.rows()[area.state.chosen]
        assert (chosen.name.split(" · ")[-1], chosen.figure) == ("idea", figure)
    # What the book has is said to be there, whatever was decided before; and it cannot be opened again.
    chord(window, Qt.Key.Key_Delete)
    area.settle()
    assert area.state.rows()[area.state.chosen].words.endswith("left as it is")
    chord(window, Qt.Key.Key_Y, CTRL)
    area.settle()
    assert area.state.rows()[area.state.chosen].words.endswith("the book has it")
    assert deciding_ways(decision(area)) == ()
    chord(window, Qt.Key.Key_Delete)
    assert "the book has it: Ctrl+Z" in area.said.words


def test_what_was_applied_is_seen_where_the_plan_stood(qtbot, window):
    area = window.drift
    area.state.ask_stood("bars 21-30")
    area.settle()
    assert not area.tape.then.of_book
    assert area.tape.then.planned_name == "Faces"
    chord(window, Qt.Key.Key_F5, SHIFT)
    answer(qtbot, window, "one face")  # as it was that night
    qtbot.waitUntil(lambda: area.tape.then is not None and area.tape.then.of_book)
    assert area.tape.then.planned_name == "One face"
    assert same(area)
    chord(window, Qt.Key.Key_Z, CTRL)
    qtbot.waitUntil(lambda: area.tape.then is not None and not area.tape.then.of_book)


def test_a_hand_near_a_mark_or_a_look_means_it(window):
    area = window.drift
    area.state.ask_stood("")
    area.settle()
    strip = area.tape.strip
    begins = next(b.from_s for b in strip.tonight if b.by_hand)
    assert snapped(strip, [], begins + 0.3, 0.5) == begins
    assert snapped(strip, [begins + 0.4], begins + 0.3, 0.5) == begins + 0.4, "a mark before a look"
    assert snapped(strip, [], begins + 0.7, 0.5) == begins + 0.7


def test_an_idea_goes_with_its_change_when_that_is_taken_back_here(qtbot, window):
    area = window.drift
    area.state.ask_stood("bars 21-30")
    area.settle()
    before = area.state.store.document
    chord(window, Qt.Key.Key_F5, SHIFT)
    answer(qtbot, window, "face")  # two have it: nobody is guessed
    assert "'face' may be Faces, One face: give more of its name" in window.prompt._hint.text()
    window.prompt._edit.clear()
    answer(qtbot, window, "wide")
    area.settle()
    assert [v.verdict for v in area.state.view.verdicts] == ["idea"]
    chord(window, Qt.Key.Key_Z, CTRL)
    area.settle()
    assert area.said.words.startswith("undone: “Wide” at bar 21")
    assert area.state.store.document == before
    assert area.state.view.verdicts == ()
    chord(window, Qt.Key.Key_Z, CTRL)
    assert area.said.words == "nothing to undo"


def test_what_is_asked_about_is_what_the_recording_shows_at_once(window):
    area = window.drift
    went = []
    area.state.went.connect(lambda: went.append(area.state.moment_ns()))
    area.state.ask_stood("bars 21-30")
    assert went == [area.state.rows()[0].t_ns]


def test_a_doubtful_line_is_asked_about_and_the_answer_counts(window):
    area = window.drift
    view = area.state.view
    line = next(x for x in view.lines if x.id == "gulls:v2")
    doubt = [LineHeard(line.id, line.t_ns - NS, line.t_ns - NS // 5, 0.3)]
    area.state.tour.add_remark(view.run, 0, heard_text(doubt), kind="heard")
    area.state.again()
    area.settle()
    assert area.state.view.rows["cues"][1].words == "cue v2"
    area.perform("decide")
    at = next(n for n, r in enumerate(area.state.rows()) if r.name == "was it said?")
    assert area.state.rows()[at].words == f"heard “{line.text}”? 30 % sure"
    area.state.choose(at)
    area.perform("apply")
    area.settle()
    assert not any(r.name == "was it said?" for r in area.state.rows())
    assert area.state.view.rows["cues"][1].words == "cue v2 · voice −0.20, key +0.20 s"
    chord(window, Qt.Key.Key_Z, CTRL)  # and the answer is taken back, nothing before it
    area.settle()
    assert area.said.words == "undone: it was said"
    assert any(r.name == "was it said?" for r in area.state.rows())


def test_other_recordings_stand_at_the_same_moment_each_in_its_place(qtbot, window, tmp_path):
    """Three files at rates and with beginnings of their own; each frame carries its number."""
    area = window.drift
    run, zeros = area.state.view.run, {}
    for name, rate, zero_s in (
        ("cam-2", Fraction(5), 3.3),
        ("cam-1", Fraction(8), -2.1),
        ("main", Fraction(5), 0),
    ):
        path = str(make_recording(tmp_path / f"{name}.mp4", int(70 * rate), rate))
        zeros[path] = (rate, round(zero_s * NS))
        area.state.tour.set_recording(run, path, zeros[path][1], "by hand", wall_ns=len(zeros))
    area.state.again()
    area.settle()
    area.state.ask_stood("bars 21-30")
    area.settle()
    shown = [r.path for r in area.angles.recordings()]
    assert [path[-9:] for path in shown] == ["cam-1.mp4", "cam-2.mp4"]
    window.grab()
    for at_s in (36.0, 50.5):
        click_at(qtbot, area, at_s)
        area.settle()
        players = [area.angles.player(p) for p in shown]
        qtbot.waitUntil(lambda mine=players: all(p.image is not None and p._served == p._asked for p in mine))
        qtbot.wait(30)
        t_ns = area.tape.t_ns
        for path, player in zip(shown, players, strict=True):
            rate, zero_ns = zeros[path]
            expected = ceil(Fraction(t_ns - zero_ns, NS) * rate)
            qtbot.waitUntil(lambda p=player, e=expected: p.index == e)
    window.grab()
    # A click on one shows it large at the same moment; the first takes its place, and no other moves.
    t_ns = area.tape.t_ns
    qtbot.mouseClick(area.angles, Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    area.settle()
    assert Path(area.recording.player.path).name == "cam-1.mp4"
    now = [r.path[-9:] for r in area.angles.recordings()]
    assert (now[0][-8:], now[1]) == ("main.mp4", "cam-2.mp4")
    assert area.tape.moment_ns() == t_ns
    rate, zero_ns = zeros[area.recording.player.path]
    qtbot.waitUntil(lambda: area.recording.player.index == ceil(Fraction(t_ns - zero_ns, NS) * rate))
    # Played, stepped or dragged it leads: where it stops, everything is at that moment.
    chord(window, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier | SHIFT)
    qtbot.waitUntil(lambda: area.tape.t_ns == area.recording.playing_ns() != t_ns)
    area.perform("play")
    begun_ns = area.recording.playing_ns()
    qtbot.waitUntil(lambda: area.recording.playing_ns() > begun_ns + NS // 2)
    area.perform("play")
    area.settle()
    stopped_ns = area.recording.playing_ns()
    qtbot.waitUntil(lambda: area.tape.t_ns == stopped_ns)
    for path in (r.path for r in area.angles.recordings()):
        rate, zero_ns = zeros[path]
        index = ceil(Fraction(stopped_ns - zero_ns, NS) * rate)
        qtbot.waitUntil(lambda p=path, e=index: area.angles.player(p).index == e)
    area.recording.scrubbing.drag(Fraction(20))
    area.recording.scrubbing.rest()
    area.settle()
    qtbot.waitUntil(lambda: area.tape.t_ns == area.recording.playing_ns() < stopped_ns)
    click_at(qtbot, area, 50)  # and a click on the strip leads again
    area.settle()
    assert abs(area.tape.at_s - 50) < 0.2


def test_ctrl_z_takes_back_what_was_decided_last_and_leaves_the_book(qtbot, window):
    area = window.drift
    area.state.ask_stood("bars 21-30")
    area.settle()
    area.state.choose(next(n for n, r in enumerate(area.state.rows()) if "One face" in r.words))
    for times in (1, 2):
        chord(window, Qt.Key.Key_F2, SHIFT)
        if times == 2:
            answer(qtbot, window, "hands in the air")
        area.settle()
    chord(window, Qt.Key.Key_L, CTRL | SHIFT)
    area.settle()
    chord(window, Qt.Key.Key_Delete)
    area.settle()
    assert area.state.rows()[0].words.endswith("left as it is")
    told = []
    for _ in range(4):
        chord(window, Qt.Key.Key_Z, CTRL)
        area.settle()
        told.append((area.said.words, [(v.verdict, v.word) for v in area.state.view.verdicts]))
    assert told == [
        ("undone: “left as it is”", [("good", "hands in the air")]),
        ("undone: the word on good", [("good", "")]),
        ("undone: good", []),
        ("nothing to undo", []),
    ]
    assert [r.figure for r in area.state.rows()] == ["ready"], "what was by hand is still to be decided"
    chord(window, Qt.Key.Key_F3, SHIFT)  # and the same moment can be judged once more
    area.settle()
    assert [v.verdict for v in area.state.view.verdicts] == ["bad"]


def test_what_cannot_be_taken_back_is_said_and_nothing_else_is_taken_instead(qtbot, window, monkeypatch):
    area = wide_instead(qtbot, window)
    book = area.state.store.document
    chord(window, Qt.Key.Key_F3, SHIFT)
    area.settle()

    def away(*_args, **_more):
        raise TourError("the tour does not answer")

    with monkeypatch.context() as patched:
        patched.setattr(area.state.tour, "add_remark", away)
        chord(window, Qt.Key.Key_Z, CTRL)
    assert area.said.words == "the tour does not answer"
    assert area.state.store.document is book, "the book's change was not meant"
    chord(window, Qt.Key.Key_Z, CTRL)
    area.settle()
    assert area.said.words == "undone: bad"

    def past():
        raise ChangeError("that was played already")

    with monkeypatch.context() as patched:
        patched.setattr(area.state.store, "undo", past)
        chord(window, Qt.Key.Key_Z, CTRL)
    assert area.said.words == "that was played already"


def test_what_the_tour_does_not_take_is_said_beside_what_the_book_has(qtbot, window, monkeypatch):
    area = window.drift
    area.state.ask_stood("bars 21-30")
    area.settle()
    before = area.state.store.document

    def away(*_args, **_more):
        raise TourError("the tour does not answer")

    with monkeypatch.context() as patched:
        patched.setattr(area.state.tour, "add_remark", away)
        chord(window, Qt.Key.Key_F5, SHIFT)
        answer(qtbot, window, "wide")
    assert area.said.words.endswith("takes it back; the tour has no note of it: the tour does not answer")
    assert area.state.store.document != before
    chord(window, Qt.Key.Key_Z, CTRL)
    assert area.state.store.document == before


def test_a_new_recording_is_the_large_one_whatever_was_clicked_on_before(qtbot, window, tmp_path):
    area = window.drift
    for n, name in enumerate(("cam-1", "main"), 1):
        path = str(make_recording(tmp_path / f"{name}.mp4", 50, Fraction(5)))
        area.state.tour.set_recording(area.state.view.run, path, 0, "by hand", wall_ns=n)
    area.state.again()
    area.settle()
    area.state.ask_stood("bars 1-4")
    area.settle()
    qtbot.mouseClick(area.angles, Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    assert Path(area.recording.player.path).name == "cam-1.mp4"
    new = make_recording(tmp_path / "new.mp4", 50, Fraction(5))
    chord(window, Qt.Key.Key_O, CTRL)
    answer(qtbot, window, str(new))
    area.settle()
    assert Path(area.recording.player.path).name == "new.mp4", "what is aligned next is what was pointed at"


def test_a_click_on_the_strip_chooses_the_line_that_was_so_then(qtbot, window):
    area = window.drift
    area.state.ask_stood("")
    area.settle()
    click_at(qtbot, area, 50)
    area.settle()
    row = area.state.rows()[area.state.chosen]
    assert row.t_ns <= area.tape.moment_ns()
    assert "One face" in " ".join(r.words for r in area.state.rows()[: area.state.chosen + 1][-3:])


def test_the_keys_under_a_line_are_those_that_do_something(qtbot, window):
    area = window.drift
    area.state.ask_stood("bars 21-30")
    area.settle()
    area.state.choose(0)
    chord(window, Qt.Key.Key_F3, SHIFT)  # bad, where all was as planned
    area.settle()
    chord(window, Qt.Key.Key_L, CTRL | SHIFT)
    area.settle()
    area.state.choose(next(n for n, r in enumerate(area.state.rows()) if "bad" in r.name))
    assert [a for a, _ in deciding_ways(decision(area))] == ["assign", "settle"]
    chord(window, Qt.Key.Key_Delete)
    area.settle()
    assert [a for a, _ in deciding_ways(decision(area))] == ["settle"]


def test_a_look_that_the_book_has_from_an_earlier_bar_on_is_not_offered_again(qtbot, window):
    area = window.drift
    area.state.ask_stood("bars 18-30")
    area.settle()
    click_at(qtbot, area, 37)  # before the hand put it up, from where it was wanted
    chord(window, Qt.Key.Key_F5, SHIFT)
    answer(qtbot, window, "one face")
    area.settle()
    chord(window, Qt.Key.Key_L, CTRL | SHIFT)
    area.settle()
    assert [r.figure for r in area.state.rows()] == ["settled"]


def test_a_recording_goes_where_it_was_last_asked_to_though_the_window_is_laid_out_anew(qtbot, tmp_path):
    player = Player()
    player.open(str(make_recording(tmp_path / "long.mp4", 250, Fraction(25))))
    player.seek(Fraction(2))
    player.settle()
    player.seek(Fraction(8))
    player.fit(320, 180)  # before its frame has come
    qtbot.waitUntil(lambda: player.at_s >= Fraction(79, 10))
    player.settle()
    assert Fraction(79, 10) <= player.at_s <= Fraction(81, 10)
    player.close()
