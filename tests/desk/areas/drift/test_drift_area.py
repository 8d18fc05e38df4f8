"""The drift area by its keys: a run chosen, its recording on the right frame, notes, offers, reports."""

import random
import threading
from datetime import datetime
from fractions import Fraction
from math import ceil
from pathlib import Path

import numpy as np
import pytest
from burned import make_recording, read_number
from desk_keys import answer, chord
from played import Played
from small_shows import cue, item, show
from wall_show import wall_show

from showcaller.archive.tour import Tour
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QPoint, Qt
from showcaller.desk.window import DeskWindow
from showcaller.review.across import counts, tour_samples
from showcaller.review.exports.outbox import Outbox
from showcaller.run import commands as c

NS = 1_000_000_000
RATE = Fraction(25)
CTRL, ALT, SHIFT = (
    Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ShiftModifier,
)  # fmt: skip
DAY = [{"id": "doors", "name": "Doors", "kind": "doors", "starts_at": "19:00"}]


def night(book, late_s: float, seed: int = 3, broken_off: bool = False) -> list:
    """A run of the show with every cue called, its first item so much too long; or a rehearsal of it that
    was broken off in the second."""
    played = Played(book, started=False)
    played.at(0, c.Start("Ada", muted=broken_off))
    draw = random.Random(seed)
    played.go(2)
    t_s = 2.0
    for planned in played.compiled.plan.items[0].cues[1:]:
        t_s = max(t_s + 0.01, 2 + float(planned.at_s) + draw.gauss(0, 0.04))
        played.go(t_s)
    played.go(2 + 40 + late_s)
    if not broken_off:
        played.at(2 + 40 + late_s + 20, c.End("curtain"))
    return played.records


@pytest.fixture(scope="module")
def video(tmp_path_factory) -> Path:
    return make_recording(tmp_path_factory.mktemp("video") / "night.mp4", 25 * 70, RATE)


@pytest.fixture
def window(qtbot, tmp_path):
    marks = sorted(random.Random(1).sample(range(10, 390), 110))
    cues = [cue("c0", "1", 0), *(cue(f"m{n}", str(n + 2), m / 10) for n, m in enumerate(marks))]
    book = show([item("first", 40, cues), item("second", 20, [cue("z", "500", 0)])], day=DAY)
    tour = Tour.create(tmp_path / "t.tour", "Small")
    edition = tour.add_edition(book)
    for n in range(4):
        tour.add_run(edition, night(book, 9 + n, n), run_id=f"r{n}")
    keys = Keys()
    made = DeskWindow(book, tour, tmp_path / "runs", keys)
    made.resize(1280, 720)
    made.show()
    qtbot.waitExposed(made)
    made.show_area("Drift")
    made.drift.settle()
    yield made
    made.stop()
    made.host.close()


def shown_number(area) -> int:
    """The number burned into the frame that is on the screen."""
    image = area.recording.player.image
    pixels = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    rgb = pixels[:, : image.width() * 3].reshape(image.height(), image.width(), 3)
    scale = image.width() / 320
    small = rgb[(np.arange(180) * scale).astype(int)][:, (np.arange(320) * scale).astype(int)]
    return read_number(small)


def wait_frame(qtbot, area) -> None:
    """Until the frame asked for is on the screen."""
    qtbot.waitUntil(
        lambda: (
            area.recording.player._served == area.recording.player._asked
            and area.recording.player.image is not None
        )
    )
    qtbot.wait(1)


def test_a_click_on_any_of_a_hundred_cues_is_on_its_frame(qtbot, window, video) -> None:
    """Clicked with the mouse in the list; decoded off the window's thread (how long it is held up is measured
    in benchmarks/bench_recording.py)."""
    area = window.drift
    zero_ns = NS // 3
    area.state.tour.set_recording(area.state.view.run, str(video), zero_ns, "by hand")
    area.state.again()
    area.settle()
    wait_frame(qtbot, area)
    rows = [n for n, row in enumerate(area.state.rows()) if row.t_ns is not None]
    right = 0
    for n in random.Random(2).sample(rows, 100):
        area.state.choose(n, go=False)
        area.repaint()
        spot = area.list.visualRect(area.list.model().index(n, 1)).center()
        qtbot.mouseClick(area.list.viewport(), Qt.MouseButton.LeftButton, pos=spot)
        wait_frame(qtbot, area)
        t_ns = area.state.rows()[n].t_ns
        expected = ceil(Fraction(t_ns - zero_ns, NS) * RATE)  # the first frame in which it stands
        shown_ns = area.recording.playing_ns()
        assert 0 <= shown_ns - t_ns < NS / RATE
        assert area.state.view.standings.at(shown_ns).last[0].t_ns >= t_ns, "with its own name under it"
        right += shown_number(area) == expected == area.recording.player.index
    assert right == 100
    assert area.recording.player._thread is not None
    assert area.recording.player._thread.ident != threading.main_thread().ident


def test_keys_choose_runs_lines_and_lists_and_the_chart_follows(window) -> None:
    area = window.drift
    assert area.state.view.title.startswith("Show 4, Small")
    chord(window, Qt.Key.Key_Left)
    area.settle()
    assert area.state.view.title.startswith("Show 3, Small")
    chord(window, Qt.Key.Key_End)
    assert (area.state.item, area.state.rows()[area.state.chosen].name) == ("second", "Lights 500")
    chord(window, Qt.Key.Key_Up)
    assert area.state.item == "first"
    seen = [area.state.page]
    for _ in range(10):
        chord(window, Qt.Key.Key_Tab)
        seen.append(area.state.page)
        area.repaint()
    pages = ["cues", "items", "notes", "people", "calling", "sent", "day", "tour", "wall", "decide"]
    assert seen == [*pages, "cues"]
    chord(window, Qt.Key.Key_Backtab, SHIFT)
    assert area.state.page == "decide"


def test_a_recording_is_pointed_at_tapped_stepped_and_played(qtbot, window, video) -> None:
    area = window.drift
    chord(window, Qt.Key.Key_O, CTRL)
    answer(qtbot, window, "nothing.mov")
    assert "there is no" in window.prompt._hint.text()
    window.prompt._edit.clear()
    answer(qtbot, window, str(video))
    area.settle()
    wait_frame(qtbot, area)
    assert area.state.view.report.recordings[0].how == "by hand"
    assert "tap once to put it right" in area.said.words
    area.state.choose(3)
    wait_frame(qtbot, area)
    before = area.recording.player.index
    for _ in range(5):
        chord(window, Qt.Key.Key_Right, ALT)
        wait_frame(qtbot, area)
    chord(window, Qt.Key.Key_Left, ALT | SHIFT)
    wait_frame(qtbot, area)
    assert shown_number(area) == before + 5 - 25
    chord(window, Qt.Key.Key_T, CTRL)
    area.settle()
    wait_frame(qtbot, area)
    assert area.state.view.report.recordings[0].how == "tap"
    assert shown_number(area) == before - 20  # the chosen line is now on the frame that was shown
    assert area.recording.playing_ns() == pytest.approx(area.state.moment_ns(), abs=NS // 25)
    chord(window, Qt.Key.Key_Space, CTRL)
    qtbot.waitUntil(lambda: area.recording.player.index >= before, timeout=5000)
    assert area.recording.player.playing
    chord(window, Qt.Key.Key_Space, CTRL)
    assert not area.recording.player.playing


def test_a_note_at_the_frame_that_is_shown_and_an_incident_stands_first(qtbot, window, video) -> None:
    area = window.drift
    area.state.tour.set_recording(area.state.view.run, str(video), 0, "by hand")
    area.state.again()
    area.settle()
    area.state.choose(5)
    wait_frame(qtbot, area)
    chord(window, Qt.Key.Key_N, CTRL)
    answer(qtbot, window, "near miss: the riser moved")
    area.settle()
    (kept,) = area.state.tour.remarks(area.state.view.run)
    assert (kept.kind, kept.text) == ("near miss", "the riser moved")
    assert kept.t_ns == area.recording.playing_ns()
    assert area.state.view.incidents == "1 near miss · the tour: 1 near miss"
    assert area.state.view.hurt
    assert "accident report must still be filed" in area.said.words


def test_what_was_learned_is_taken_into_the_book_and_can_be_taken_back(window) -> None:
    area = window.drift
    offer = area.state.view.offers[0]
    assert offer.words.startswith("Plan “First” at 0:50 (4 shows")
    chord(window, Qt.Key.Key_1, ALT)
    assert window.store.show_now.items[0].length_s == 50
    assert "applied to the book" in area.said.words
    assert offer not in area.state.offers.of(area.state.view, window.store.document), (
        "what was accepted is offered no more"
    )
    window.store.undo()
    assert window.store.show_now.items[0].length_s == 40
    assert offer in area.state.offers.of(area.state.view, window.store.document)
    chord(window, Qt.Key.Key_5, ALT)
    assert area.said.words == "there is no offer with that number; the offers at the right have theirs"


def test_a_report_is_written_without_holding_the_desk_up(qtbot, window, tmp_path) -> None:
    area = window.drift
    chord(window, Qt.Key.Key_P, CTRL)
    answer(qtbot, window, "doc")
    assert "a report is pdf, forms, eml, html" in window.prompt._hint.text()
    window.prompt._edit.clear()
    answer(qtbot, window, f"pdf {tmp_path / 'a.pdf'}")
    assert area.controller.reporting.exporting is not None
    qtbot.waitUntil(lambda: area.controller.reporting.exporting is None, timeout=20000)
    qtbot.waitUntil(lambda: area.said.words == f"written: {tmp_path / 'a.pdf'}", timeout=20000)
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")
    chord(window, Qt.Key.Key_P, CTRL)
    answer(qtbot, window, f"pdf {tmp_path / 'b.pdf'}")
    chord(window, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: area.controller.reporting.exporting is None, timeout=20000)
    assert area.said.words == "stopped; nothing was left behind"
    assert not (tmp_path / "b.pdf").exists()


def test_a_report_that_is_done_while_others_are_carried_is_put_there_right_after(
    qtbot, window, tmp_path, monkeypatch
) -> None:
    deliver, go_on, begun = Outbox.deliver, threading.Event(), threading.Event()

    def slow(outbox: Outbox) -> tuple[Path, ...]:
        done = deliver(outbox)  # what is there when it sets out
        if not begun.is_set():
            begun.set()
            go_on.wait(20)
        return done

    monkeypatch.setattr(Outbox, "deliver", slow)
    reporting = window.drift.controller.reporting
    reporting.carry()
    qtbot.waitUntil(begun.is_set)
    chord(window, Qt.Key.Key_P, CTRL)
    answer(qtbot, window, f"csv {tmp_path / 'away' / 'a.csv'}")
    (tmp_path / "away").mkdir()
    qtbot.waitUntil(lambda: reporting.exporting is None, timeout=20000)
    go_on.set()
    # Long before the next round, which is twenty seconds later.
    qtbot.waitUntil(lambda: window.drift.said.words.startswith("written: "), timeout=5000)
    assert (tmp_path / "away" / "a.csv").exists()


def test_a_report_for_a_folder_that_is_gone_waits_and_is_put_there_later(qtbot, window, tmp_path) -> None:
    area, share = window.drift, tmp_path / "office"
    chord(window, Qt.Key.Key_P, CTRL)
    answer(qtbot, window, f"eml {share / 'tonight.eml'}")
    qtbot.waitUntil(lambda: "waits on this machine" in area.said.words, timeout=20000)
    assert str(share) in area.said.words
    share.mkdir()
    area.controller.reporting.carry()
    qtbot.waitUntil(lambda: area.said.words == f"written: {share / 'tonight.eml'}", timeout=20000)
    assert b"X-Unsent: 1" in (share / "tonight.eml").read_bytes()
    chord(window, Qt.Key.Key_P, CTRL)
    assert "waiting" not in window.prompt._hint.text()
    chord(window, Qt.Key.Key_Escape)


def test_the_day_is_put_down_by_name(qtbot, window) -> None:
    area = window.drift
    chord(window, Qt.Key.Key_D, CTRL)
    answer(qtbot, window, "curtain began")
    assert "the day sheet has Doors" in window.prompt._hint.text()
    window.prompt._edit.clear()
    answer(qtbot, window, "doors began 19:04")
    area.settle()
    area.state.turn(6)
    assert area.state.page == "day"
    assert area.state.rows()[0].figure == "+4:00"


def test_it_says_what_it_is_to_a_screen_reader_and_a_tab_can_be_clicked(qtbot, window) -> None:
    area = window.drift
    assert area.accessibleDescription().startswith("Show 4, Small: ended")
    spot = area.tabs.tabRect(1).center()
    qtbot.mouseClick(area.tabs, Qt.MouseButton.LeftButton, pos=spot)
    assert area.state.page == "items"


def test_a_recording_with_the_time_of_day_in_it_aligns_itself(qtbot, window, tmp_path) -> None:
    area = window.drift
    first = area.state.view.report.records[0]
    start = datetime.fromtimestamp(first.wall_ns // NS - 12).astimezone()
    path = make_recording(tmp_path / "tod.mov", 300, RATE, timecode=start.strftime("%H:%M:%S:00"))
    chord(window, Qt.Key.Key_O, CTRL)
    answer(qtbot, window, str(path))
    area.settle()
    (kept,) = area.state.view.report.recordings
    assert (kept.how, kept.zero_ns) == ("timecode", first.t_ns - 12 * NS)
    assert "the time of day" in area.said.words


def test_a_recording_is_aligned_by_the_sound_of_a_songs_reference(qtbot, window, tmp_path) -> None:
    area = window.drift
    rate = 48_000
    draw = np.random.default_rng(4)
    t = np.arange(30 * rate) / rate
    notes = draw.choice([220.0, 277.2, 329.6, 440.0, 554.4], 121)[(t * 4).astype(int)]
    song = (np.sin(2 * np.pi * np.cumsum(notes) / rate) * np.exp(-((t * 2) % 1) * 3)).astype(np.float32)
    make_recording(tmp_path / "song.mov", 2, RATE, sound=song)
    hall = draw.normal(0, 0.05, 60 * rate).astype(np.float32)
    at = int(7.48 * rate)
    hall[at : at + len(song)] += 0.4 * song
    path = make_recording(tmp_path / "hall.mov", 60 * 25, RATE, sound=hall)
    reference = {"reference": str(tmp_path / "song.mov"), "reference_at_s": "0"}
    book = window.store.show_now
    items = [item.changed(**reference) if item.id == "first" else item for item in book.items]
    edition = area.state.tour.add_edition(book.changed(items=tuple(items)))
    run = area.state.tour.add_run(edition, area.state.view.report.records, run_id="with-reference")
    area.state.tour.set_recording(run, str(path), 0, "by hand")
    area.show_tour(area.state.tour)
    area.settle()
    wait_frame(qtbot, area)
    chord(window, Qt.Key.Key_T, CTRL | SHIFT)
    answer(qtbot, window, "sound")
    qtbot.waitUntil(lambda: area.said.words.startswith("aligned by sound"), timeout=20000)
    area.settle()
    (kept,) = area.state.view.report.recordings
    begun = next(m.t_ns for m in area.state.view.report.moments if m.kind == "item")
    assert kept.how == "sound"
    assert (begun - kept.zero_ns) / NS == pytest.approx(7.48, abs=0.002)


def test_what_stood_on_the_wall_in_the_second_chorus_is_asked_by_key(qtbot, tmp_path) -> None:
    first, second = wall_show().items
    sections = [{"name": n, "bar": b} for n, b in (("Chorus", 1), ("Verse", 9), ("Chorus", 17), ("Out", 41))]
    book = wall_show().changed(items=(first.changed(sections=sections), second))
    played = Played(book)
    for at_s in (0, 16, 32):
        played.go(at_s)
    played.at(58, c.PutLook("one", "mix", 4.0))
    played.at(100, c.End("curtain"))
    tour = Tour.create(tmp_path / "w.tour", "Wall")
    tour.add_run(tour.add_edition(book), played.records, run_id="w")
    made = DeskWindow(book, tour, tmp_path / "runs", Keys())
    try:
        made.show()
        qtbot.waitExposed(made)
        made.show_area("Drift")
        made.drift.settle()
        chord(made, Qt.Key.Key_F, CTRL)
        answer(qtbot, made, "bars 33-36")
        looks = [r for r in made.drift.state.rows() if r.name]
        assert [(r.name, r.words) for r in looks] == [
            ("bar 30 / 1", "“One face” until the end: mix over 4 beats, by hand")
        ]
        assert made.drift.state.page == "wall"
        chord(made, Qt.Key.Key_F, CTRL)
        answer(qtbot, made, "solo")
        assert made.prompt.is_open(), "a sentence stays in the prompt"
        qtbot.keyClick(made.prompt._edit, Qt.Key.Key_Escape)
        chord(made, Qt.Key.Key_F, CTRL)
        answer(qtbot, made, "")
        assert len([r for r in made.drift.state.rows() if r.name]) == 4, "the whole run"
    finally:
        made.stop()
        made.host.close()


def test_a_run_is_put_into_the_tours_charts_or_left_out_by_one_key(qtbot, window) -> None:
    area = window.drift

    def nights() -> int:
        return len(area.state.view.trends["first"].points)

    def press() -> None:
        chord(window, Qt.Key.Key_I, CTRL | SHIFT)
        area.settle()

    assert nights() == 4
    press()
    assert area.said.words == "left out of the tour's charts; the same key takes that back"
    assert nights() == 3
    assert area.state.view.facts.startswith("not in the tour's charts")
    assert any("left out of the tour's charts" in r.words for r in area.state.view.rows["notes"])
    press()
    assert area.said.words.startswith("put into the tour's charts, with 2 items that were played whole;")
    assert nights() == 4
    assert "not in" not in area.state.view.facts


def test_a_rehearsal_that_was_broken_off_is_in_no_chart_until_it_is_put_in(qtbot, window) -> None:
    tour, book = window.drift.state.tour, window.drift.state.view.report.plan.show
    run = tour.add_run(tour.editions()[0], night(book, 30, 9, broken_off=True), run_id="broken")
    assert (run.finished, run.muted) == (False, True)
    for kind, there in (("", False), ("counted", True), ("left out", False)):
        if kind:
            tour.add_remark(run, 0, "said so", kind=kind, by="Ada")
        assert counts(run, tour.remarks(run)) is there
        found = {s.run: s.length_s for s in tour_samples(tour)["first"]}
        assert set(found) == {1, 2, 3, 4} | ({5} if there else set())
        if there:
            assert found[5] == pytest.approx(70)


def test_dragging_along_the_bar_shows_small_pictures_at_once_and_the_frame_where_the_hand_rests(
    qtbot, window, video, tmp_path, monkeypatch
) -> None:
    monkeypatch.setattr("showcaller.desk.areas.drift.scrubbing.LONG_S", 1.0)
    area = window.drift
    scrubbing = area.recording.scrubbing
    scrubbing._folder = tmp_path / "tape"
    area.state.tour.set_recording(area.state.view.run, str(video), 0, "by hand")
    area.state.again()
    area.settle()
    wait_frame(qtbot, area)
    qtbot.waitUntil(lambda: area.recording.scrubbing._small.path != "")
    screen = area.screen_
    screen.repaint()
    bar = screen._bar_box
    qtbot.mousePress(screen, Qt.MouseButton.LeftButton, pos=bar.center().toPoint())
    assert scrubbing.at_s is not None
    qtbot.waitUntil(lambda: scrubbing.image is not None)
    end = QPoint(int(bar.width() * 0.65), int(bar.center().y()))
    for x in (0.55, 0.6, 0.65):
        qtbot.mouseMove(screen, QPoint(int(bar.width() * x), end.y()))
    assert scrubbing.image is not None, "the small picture, whatever the frame costs"
    qtbot.mouseRelease(screen, Qt.MouseButton.LeftButton, pos=end)
    area.recording.player.frame_shown.emit()  # as when that of where the hand was before comes only now
    assert scrubbing.at_s is not None
    qtbot.waitUntil(lambda: scrubbing.at_s is None)
    assert abs(float(area.recording.player.at_s / area.recording.player.facts.length_s) - 0.65) < 0.01
    window.grab()
