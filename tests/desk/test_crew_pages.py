"""The crew pages at the desk: switched on by their action, all at their window, ended with the desk."""

import ssl
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_keys import after_gap, answer, chord, events, fired, press
from devices import wait_until
from PySide6.QtCore import Qt
from small_shows import desk_show

from showcaller.archive.tour import Tour
from showcaller.desk.crew_mark import MARK
from showcaller.desk.crew_pages import CrewPages
from showcaller.desk.crew_window import modules
from showcaller.desk.crew_words import crew_rows, crew_sum, in_fours
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.model import write_show

CTRL_SHIFT = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
HOLDS_IT = """
import sys, time
from pathlib import Path
from showcaller.desk.crew_mark import CrewMark
mark = CrewMark(Path(sys.argv[1]))
mark.set()
print("on", flush=True)
time.sleep(60)
"""


@pytest.fixture(scope="module")
def shared(qapp, tmp_path_factory: pytest.TempPathFactory) -> Iterator[CrewPages]:
    """The pages of a show on disk, at a free port."""
    folder = tmp_path_factory.mktemp("crew")
    write_show(desk_show(9), folder / "show.json")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(folder / "state"))
        found = CrewPages(
            lambda: (folder / "runs", folder / "show.json"), Keys(), lambda _event: None, port=0
        )
        yield found
        found.close()


@pytest.fixture
def pages(shared: CrewPages) -> Iterator[CrewPages]:
    """The same for each test, its window put away after it."""
    yield shared
    if shared.window is not None:
        shared.window.close()


def on(qtbot, pages):
    """Switched on, and shown."""
    pages.toggle()
    qtbot.waitUntil(lambda: bool(pages.window.code.link), timeout=10000)
    return pages.window


def test_one_key_opens_the_window_with_code_pin_and_fingerprint(qtbot, pages):
    window = on(qtbot, pages)
    status = pages.server.status
    assert window.pin.text() == f"PIN  {status['pin']}"
    assert status["fingerprint"].split(":")[0] in window.print_.text()
    assert window.code.link.startswith(status["address"])
    assert window.sum.text() == "Nobody is in yet"
    assert window.width() <= 1280
    window.grab()


def test_the_code_is_the_link_as_another_reader_sees_it(qtbot, pages):
    """Read by OpenCV's own QR decoder, from the picture that is on the screen."""
    import cv2
    import numpy as np
    from PySide6.QtGui import QImage

    window = on(qtbot, pages)
    image = window.code.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    read = []
    for detector in (
        cv2.QRCodeDetector(),
        cv2.QRCodeDetectorAruco(),
    ):  # either misses some codes at some sizes
        for times in (1, 2, 3, 4):
            size = (image.width() * times, image.height() * times)
            picture = cv2.resize(rows[:, : image.width()], size, interpolation=cv2.INTER_NEAREST)
            read.append(detector.detectAndDecode(picture)[0])
    assert set(filter(None, read)) == {window.code.link}


def test_a_link_for_one_position_has_a_code_of_its_own_and_is_withdrawn_alone(qtbot, pages):
    window = on(qtbot, pages)
    any_position = window.code.link
    window._show_for("d:lights")
    qtbot.waitUntil(lambda: window.code.link not in ("", any_position), timeout=5000)
    qtbot.waitUntil(lambda: window.whose.text() == "Scan for Lights", timeout=5000)
    qtbot.waitUntil(lambda: len(pages.server.status["links"]) == 2, timeout=5000)
    qtbot.keyClick(window, Qt.Key.Key_Down)
    qtbot.keyClick(window, Qt.Key.Key_Down)
    assert window.out.text() == "withdraw this link"
    chosen = window.list.chosen().link
    others = {x["id"] for x in pages.server.status["links"]} - {chosen}
    window.out.click()
    qtbot.waitUntil(lambda: chosen not in {x["id"] for x in pages.server.status["links"]}, timeout=5000)
    assert others <= {x["id"] for x in pages.server.status["links"]}


def test_a_new_pin_asks_twice(qtbot, pages):
    window = on(qtbot, pages)
    before = pages.server.status["pin"]
    window.all_out.click()
    assert window.all_out.text().startswith("press again")
    window.all_out.click()
    qtbot.waitUntil(lambda: pages.server.status.get("pin", before) != before, timeout=5000)


def test_its_window_put_away_the_server_goes_on_and_switched_off_it_ends(qtbot, pages):
    window = on(qtbot, pages)
    server = pages.server
    process = server._process
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    assert pages.window is None
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    port = server.status["address"].rstrip("/").rpartition(":")[2]
    with urllib.request.urlopen(f"https://127.0.0.1:{port}/", context=context, timeout=5) as answer:
        assert answer.status == 200
    pages.toggle()
    pages.window.off.click()
    assert pages.server is None
    assert process.poll() is not None


def test_a_server_that_was_killed_is_started_again_with_the_same_pin(qtbot, pages, monkeypatch):
    monkeypatch.setattr("showcaller.desk.crew_server.AGAIN_AFTER_S", 0.5)
    on(qtbot, pages)
    server, pin = pages.server, pages.server.status["pin"]
    first = server._process
    first.kill()
    qtbot.waitUntil(lambda: "started again" in pages.window.said.text(), timeout=5000)
    qtbot.waitUntil(lambda: server.status.get("pin") == pin and server._process is not first, timeout=10000)


@pytest.fixture
def beside(qtbot, live: DeskWindow, monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    """A show that is on, the window of the crew pages over its box."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    live.acts.crew._port = 0
    chord(live, Qt.Key.Key_G, CTRL_SHIFT)
    window = live.acts.crew.window
    qtbot.waitExposed(window)
    after_gap(qtbot)  # or a G so soon would be the keyboard's own repeat
    yield window
    live.acts.crew.close()


def test_keys_of_the_show_act_in_its_window_and_what_they_act_on_stands_at_its_foot(qtbot, live, beside):
    live.frame()
    assert beside.now_bar.isVisible()
    assert beside.now_bar.accessibleDescription() == live.call.view.now.text
    press(beside, "s")
    qtbot.waitUntil(lambda: bool(events(live, "said")))
    live.frame()
    press(beside, "g")
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    for focused in (beside.list, beside.pin, beside.off):
        after_gap(qtbot)
        focused.setFocus()
        before = len(events(live, "note"))
        qtbot.keyClick(focused, Qt.Key.Key_N)
        assert live.prompt.is_open()
        answer(qtbot, live, "x")
        qtbot.waitUntil(lambda before=before: len(events(live, "note")) > before)


def test_what_is_typed_while_the_desk_asks_is_never_a_key_of_the_show(qtbot, live, beside):
    qtbot.keyClick(beside, Qt.Key.Key_N)
    assert live.prompt.is_open()
    qtbot.keyClicks(beside, "gg s p")
    assert live.prompt._edit.text() == "gg s p"
    qtbot.keyClick(beside, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: [n.text for n in live.host.book.notes] == ["gg s p"])
    assert (fired(live), events(live, "said"), live.host.book.state.phase) == ([], [], "running")


def test_no_button_of_its_window_takes_the_keys_by_a_click(qtbot, live, beside):
    qtbot.mouseClick(beside.all_out, Qt.MouseButton.LeftButton)
    qtbot.keyClick(beside.focusWidget() or beside, Qt.Key.Key_Space)
    assert beside.all_out.text().startswith("press again"), "Space is not a second press"
    after_gap(qtbot)
    chord(beside, Qt.Key.Key_G, CTRL_SHIFT)
    assert live.acts.crew.window is None


def crew_words(desk):
    desk.frame()
    return desk.header._content.trouble


def test_a_desk_that_rejoins_says_that_crew_pages_are_off_and_by_which_key_they_come_back(
    qtbot, live, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    runs = live.host.runs
    assert crew_words(live) == ""
    crashed = subprocess.Popen([sys.executable, "-c", HOLDS_IT, str(runs)], stdout=subprocess.PIPE, text=True)
    assert crashed.stdout.readline() == "on\n"
    live.acts.crew._marked()._looked_s = -1e9
    assert crew_words(live) == "", "another desk has them on"
    crashed.kill()
    crashed.wait()
    crashed.stdout.close()
    live.host.session.close()
    live.host.session = None
    live.acts.crew._marked()._looked_s = -1e9
    assert "Crew pages" not in crew_words(live), "not before the show is on here"
    press(live, "r")
    answer(qtbot, live, "resume")
    qtbot.waitUntil(lambda: live.host.book.state.phase == "running")
    assert crew_words(live) == "Crew pages are off. Ctrl+Shift+G puts them on again: same PIN, same links"
    live.acts.crew._port = 0
    chord(live, Qt.Key.Key_G, CTRL_SHIFT)
    assert crew_words(live) == ""
    live.acts.crew.window.off.click()
    live.acts.crew._marked()._looked_s = -1e9
    assert crew_words(live) == "", "switched off by somebody, they are not missed"


def test_the_pages_of_a_desk_that_is_left_in_a_show_come_back_with_the_same_pin(
    qtbot, live, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    live.acts.crew._port = 0
    live.performer.do("crew")
    qtbot.waitUntil(lambda: bool(live.acts.crew.server.status), timeout=10000)
    pin = live.acts.crew.server.status["pin"]
    live.acts.close()
    assert "Ctrl+Shift+G puts them on again" in crew_words(live)
    live.performer.do("crew")
    qtbot.waitUntil(lambda: live.acts.crew.server.status.get("pin") == pin, timeout=10000)
    live.host.end()
    qtbot.waitUntil(lambda: live.host.session is None, timeout=8000)
    live.acts.close()
    assert not (live.host.runs / MARK).exists(), "after the show nobody misses them"


def test_the_server_ends_with_the_desk(qtbot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    window = DeskWindow(desk_show(9), Tour.create(tmp_path / "t.tour", "Small"), tmp_path / "runs", Keys())
    window.acts.crew._port = 0
    window.performer.do("crew")
    process = window.acts.crew.server._process
    qtbot.waitUntil(lambda: bool(window.acts.crew.server.status), timeout=10000)
    window.stop()
    window.host.close()
    assert wait_until(lambda: process.poll() is not None)


def test_what_the_list_says():
    status = {
        "links": [{"id": "a", "position": "", "name": "", "until_s": 0}],
        "in": [
            {"session": "s", "link": "a", "name": "Kim", "position": "Lights", "pages": 1},
            {"session": "t", "link": "gone", "name": "", "position": "", "pages": 0},
        ],
    }
    rows = crew_rows(status)
    assert [row.words.strip() for row in rows] == [
        "Link: any position",
        "Lights · Kim",
        "choosing a position",
    ]
    assert [row.state for row in rows[1:]] == ["connected", "not connected"]
    assert crew_sum(status) == "1 person connected, 1 not"
    assert in_fours(":".join(f"{n:02X}" for n in range(32))).count("\n") == 1


def test_a_code_has_its_three_corners():
    """ISO/IEC 18004: a finder pattern of seven dark modules at three corners."""
    rows = modules("https://192.168.1.20:8443/#x")
    for y, x in ((0, 0), (0, len(rows) - 7), (len(rows) - 7, 0)):
        assert all(rows[y][x + n] for n in range(7))
