"""Pages in a real browser (the system's Chromium), beside a real engine and the server in its own process."""

import os
import re
import signal
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from axe_playwright_python.sync_playwright import Axe
from crew_browser import OpenPage, live
from crew_night import Night, night_of
from playwright.sync_api import Page, expect
from wall_show import wall_show

from showcaller.calling.caller_view import call_view
from showcaller.engine.protocol import read_endpoint
from showcaller.model import read_show
from showcaller.resources import sample
from showcaller.run import commands as c

COVERED_WITHIN_MS = 2000


def standby(night: Night, line: str, *cues: str) -> None:
    night.send(c.Standby(line, cues))


def changed_ms(page: Page) -> float:
    """When the page was covered or uncovered last, by its own clock."""
    return float(page.locator("html").get_attribute("data-changed") or "nan")


@pytest.mark.parametrize("show", [read_show(sample("breakwater.json"))], ids=["the sample"])
def test_two_phones_and_a_tablet_follow_the_run_and_an_answer_is_in_the_log_and_at_the_caller(
    night: Night, open_page: OpenPage
):
    lights, video = open_page(night, "d:lights"), open_page(night, "d:video", 320, 568, "Mo")
    spots = open_page(night, "d:spots", 768, 1024, "Ada")
    expect(lights.locator("#banner")).to_contain_text("No show is open")
    night.start()
    for what in ("warning", "standby"):
        said = call_view(night.caller.book, night.caller.now_ns()).now
        assert said is not None
        assert said.what == what
        night.send(c.Standby(said.id, said.cues, what))
    for page, name in ((lights, "Lights 1, Lights 2"), (video, "Video 1, Video 2")):
        expect(page.locator("#lamp.standby")).to_contain_text("STANDBY")
        expect(page.locator("#lamp-cue")).to_have_text(name)
        expect(page.locator("#answer")).to_have_text("STANDING BY")
    expect(spots.locator("#lamp.off")).to_be_visible()
    expect(spots.locator("#answer")).to_be_disabled()
    video.click("#answer")
    night.until(lambda: bool(night.inputs("stand_by")))
    assert night.inputs("stand_by") == [c.StandBy("video", "Video · Mo")]
    view = call_view(night.caller.book, night.caller.now_ns())
    assert (view.answered, view.waiting) == (("Video",), ("Lights", "Sound", "Deck"))
    expect(video.locator("#answer")).to_have_text("You are standing by")
    expect(lights.locator("#answer")).to_be_enabled()
    assert view.next_go is not None
    night.send(c.Go(view.next_go.go or ""))
    for page, name in ((lights, "Lights 1"), (video, "Video 1")):
        expect(page.locator("#lamp.go")).to_contain_text("GO")
        expect(page.locator("#lamp-cue")).to_have_text(name)
    expect(spots.locator("#lamp-cue")).to_have_text(re.compile(r"0:[345]\d"))  # 0:51 to its next standby
    expect(spots.locator("#lamp-when")).to_have_text("to your next standby")
    assert "screen awake" not in (lights.locator("#foot").text_content() or "")  # the browser keeps it awake


def test_a_page_that_was_in_the_background_shows_nothing_old(evening: Night, open_page: OpenPage):
    page = open_page(evening, "d:lights")
    # What a browser does to a page in the background: it says so, and stops its timers.
    hide = "Object.defineProperty(document, 'hidden', {value: %s, configurable: true});"
    said = "document.dispatchEvent(new Event('visibilitychange'))"
    page.evaluate(hide % "true" + said)
    expect(page.locator("#cover")).to_be_visible()
    # Back again the first thing to be seen is the cover, until the server has answered anew.
    assert page.evaluate(hide % "false" + said + "; document.documentElement.dataset.live") == "false"
    live(page)


def test_a_wrong_pin_is_told_and_a_position_is_chosen(evening: Night, open_page: OpenPage):
    wrong = "000000" if evening.server.status["pin"] != "000000" else "111111"
    page = open_page(evening, pin=wrong)
    expect(page.locator(".problem")).to_contain_text("do not fit")
    page.fill("#pin", evening.server.status["pin"])
    page.click("button[type=submit]")
    expect(page.locator(".choice")).to_contain_text(["Lights", "Video", "Movesgives clearances", "Wings"])
    page.click("text=Video")
    live(page)
    assert "#" not in page.url
    assert page.locator("#pin").count() == 0  # what was typed is gone with its form
    expect(page.locator("#who")).to_have_text("Video · Kim")


def test_a_refusal_is_said(evening: Night, open_page: OpenPage):
    first, second = open_page(evening, "d:video"), open_page(evening, "d:video", name="Mo")
    standby(evening, "l1", "v1", "b")
    for page in (first, second):
        expect(page.locator("#answer")).to_be_enabled()
    # Both press at the same moment: one is taken, the other is told.
    evening.server.process.send_signal(signal.SIGSTOP)
    for page in (first, second):
        page.click("#answer")
    evening.server.process.send_signal(signal.SIGCONT)
    evening.until(lambda: len(evening.inputs("stand_by")) == 2)
    late = second if evening.inputs("stand_by")[1].who == "Video · Mo" else first
    expect(late.locator("#said")).to_contain_text("no standby waits for Video")
    for page in (first, second):
        expect(page.locator("#answer")).to_have_text("You are standing by")


WORDS = [("de-DE", "ACHTUNG", "BEREIT"), ("fr-FR", "ATTENTION", "PRÊT"), ("es-ES", "PREVENIDOS", "LISTO")]


def test_it_speaks_the_browsers_language_and_another_that_is_chosen(evening: Night, open_page: OpenPage):
    standby(evening, "l2", "look")
    for locale, word, answer in WORDS:
        page = open_page(evening, "d:lights", locale=locale)
        expect(page.locator("#lamp-word")).to_have_text(word)
        expect(page.locator("#answer")).to_have_text(answer)
    page.select_option("#foot .languages", "en")
    expect(page.locator("#lamp-word")).to_have_text("STANDBY")
    page.reload()
    live(page)
    expect(page.locator("#lamp-word")).to_have_text("STANDBY")


def test_the_big_screen_has_what_is_on_what_is_left_of_it_and_what_is_next(
    evening: Night, open_page: OpenPage
):
    page = open_page(evening, "w:", 1280, 720)
    expect(page.locator("#wings-now")).to_have_text("First")
    expect(page.locator("#wings-next")).to_have_text("then Second")
    left = page.locator("#wings-left").text_content() or ""
    assert left.startswith(("0:", "+"))
    expect(page.locator("#answer")).to_be_hidden()


def test_the_clock_is_a_screen_and_so_is_every_source_of_the_wall_in_its_place(
    tmp_path: Path, open_page: OpenPage
):
    with night_of(tmp_path, wall_show().changed(time_zone="Asia/Kathmandu")) as night:
        night.start()
        clock, gallery = open_page(night, "t:", 1280, 720), open_page(night, "g:", 1280, 720)
        # The venue's clock, which is 5 h 45 min from UTC (tz database), on a device that is set to another.
        there = datetime.now(ZoneInfo("Asia/Kathmandu"))
        minutes = "|".join(f"{there + timedelta(minutes=n):%H:%M}" for n in (0, 1))
        expect(clock.locator("#wings-clock")).to_have_text(re.compile(rf"^({minutes}):\d\d$"))
        names = gallery.locator(".tally .name")
        expect(names.first).to_be_visible()
        before = names.all_text_contents()
        night.send(c.Go("gulls:start"))
        night.send(c.PutLook("wide"))
        expect(gallery.locator(".tally.is-on").first).to_contain_text("ON WALL")
        assert names.all_text_contents() == before == [s.name for s in wall_show().sources]
        assert gallery.locator("#answer").is_hidden()


def test_a_clearance_asks_twice_to_be_given_and_is_withdrawn_at_once(evening: Night, open_page: OpenPage):
    page, video = open_page(evening, "d:moves"), open_page(evening, "d:video")
    give = page.locator(".clear")
    expect(give).to_have_text("CLEAR")
    give.click()
    expect(give).to_have_text("Press again: CLEAR")
    assert evening.inputs("clear") == []
    give.click()
    evening.until(lambda: len(evening.inputs("clear")) == 1)
    assert evening.inputs("clear") == [c.Clear("path", True, None, "Moves · Kim")]
    expect(give).to_have_text("NOT CLEAR")
    give.click()
    evening.until(lambda: len(evening.inputs("clear")) == 2)
    assert evening.inputs("clear")[1] == c.Clear("path", False, None, "Moves · Kim")
    evening.send(c.Go("first:b"))
    expect(video.locator("#lamp.go")).to_contain_text("GO")
    give.click()
    expect(give).to_have_text("Press again: CLEAR")
    expect(give).to_have_text("CLEAR", timeout=5000)  # and not pressed again it is as before
    expect(video.locator("#lamp.off")).to_be_visible(timeout=6000)  # a go is out by itself


def test_a_checklist_is_ticked_by_a_touch_and_by_whom_is_in_the_log(evening: Night, open_page: OpenPage):
    page, lights = open_page(evening, "d:moves"), open_page(evening, "d:lights")
    expect(lights.locator("#tab-checks")).to_have_count(0)
    expect(page.locator("#tab-checks")).to_have_text("Checks 2")
    page.click("#tab-checks")
    first = page.get_by_role("checkbox", name="Brake on, key out")
    expect(first).to_have_attribute("aria-checked", "false")
    first.click()
    expect(first).to_have_attribute("aria-checked", "true")
    expect(page.locator("#tab-checks")).to_have_text("Checks 1")
    expect(page.locator("#said")).to_have_text("")  # it was taken
    assert evening.inputs("tick_line") == [c.TickLine("gantry", 1, "Moves · Kim")]
    first.click()
    expect(first).to_have_attribute("aria-checked", "false")


SIZES = [(320, 568), (390, 780), (768, 1024), (1280, 720)]


def test_nothing_hinders_anybody_nothing_is_cut_off_and_withdrawn_it_is_out(
    night: Night, open_page: OpenPage
):
    """Against axe-core, which knows WCAG 2.2: no serious or critical fault, in any state, at any size."""
    door, choice, page = open_page(night, pin=None), open_page(night), open_page(night, "d:moves")
    choice.wait_for_selector(".choice")
    night.start()
    night.send(c.Go("first:start"))
    standby(night, "l1", "m1")
    expect(page.locator("#lamp.standby")).to_be_visible()

    def look(one: Page, state: str, sizes: list[tuple[int, int]] = SIZES) -> None:
        for width, height in sizes:
            one.set_viewport_size({"width": width, "height": height})
            assert one.evaluate("document.documentElement.scrollWidth") <= width, (state, width)
        found = Axe().run(one).response
        assert len(found["passes"]) > 10
        faults = [x for x in found["violations"] if x["impact"] in ("serious", "critical")]
        assert [(x["id"], x["nodes"][0]["html"]) for x in faults] == [], state

    look(door, "door")
    look(choice, "choice")
    look(page, "standby")
    page.click("#tab-sheet")
    look(page, "sheet", SIZES[:1])
    page.click("#tab-checks")
    look(page, "checks", SIZES[:2])
    night.server.kill()
    expect(page.locator("#cover")).to_be_visible()
    look(page, "covered")
    night.serve_again()
    live(page)
    night.server.do(do="withdraw all")
    expect(page.locator("#cover")).to_contain_text("NO LONGER ADMITTED")
    page.reload()
    expect(page.locator("#pin")).to_be_visible()
    expect(page.locator(".problem")).to_contain_text("Scan the code")


def test_a_server_that_stands_still_is_found_out_by_the_pages_own_clock(evening: Night, open_page: OpenPage):
    page = open_page(evening, "d:lights")
    os.kill(evening.server.process.pid, signal.SIGSTOP)
    try:
        began_ms = page.evaluate("performance.now()")
        page.wait_for_selector("html[data-live=false]")
        assert changed_ms(page) - began_ms < COVERED_WITHIN_MS
        expect(page.locator("#cover")).to_be_visible()
    finally:
        os.kill(evening.server.process.pid, signal.SIGCONT)
    live(page)


def test_killed_it_is_covered_within_two_seconds_and_live_by_itself_when_it_is_back(
    evening: Night, open_page: OpenPage
):
    page = open_page(evening, "d:lights")
    expect(page.locator("#cover")).to_be_hidden()
    began_ms = page.evaluate("performance.now()")
    evening.server.kill()
    page.wait_for_selector("html[data-live=false]")
    assert changed_ms(page) - began_ms < COVERED_WITHIN_MS
    expect(page.locator("#cover")).to_contain_text("NOT CONNECTED")
    box = page.locator("#cover").bounding_box()
    assert box is not None
    assert (box["x"], box["y"], box["width"], box["height"]) == (0, 0, 390, 780)
    standby(evening, "l9", "f")
    evening.serve_again()
    live(page)
    expect(page.locator("#lamp-cue")).to_contain_text("Lights 7")  # what was missed is caught up


def test_an_engine_that_is_killed_is_no_live_page_either(evening: Night, open_page: OpenPage):
    page = open_page(evening, "d:lights")
    endpoint = read_endpoint(evening.run)
    assert endpoint is not None
    began_ms = page.evaluate("performance.now()")
    os.kill(endpoint["pid"], signal.SIGKILL)
    page.wait_for_selector("html[data-live=false]")
    assert changed_ms(page) - began_ms < COVERED_WITHIN_MS
    evening.until(lambda: evening.caller.trouble is None and read_endpoint(evening.run) != endpoint, 20)
    live(page)
