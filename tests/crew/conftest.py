"""A night with crew pages, and a real browser."""

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from crew_browser import OpenPage, live
from crew_night import Night, night_of
from devices import program
from playwright.sync_api import Browser, Page, sync_playwright
from small_shows import two_songs

from showcaller.model import Show
from showcaller.run import commands as c

CHECKS = {
    "id": "gantry", "name": "Gantry before the second", "kind": "checklist", "reader": "Moves",
    "item": "second", "lines": [{"says": "Brake on, key out"}, {"says": "Lane swept"}],
}  # fmt: skip


@pytest.fixture
def show() -> Show:
    """The show of the night."""
    return two_songs(pages=[CHECKS])


@pytest.fixture
def night(tmp_path: Path, show: Show) -> Iterator[Night]:
    """An engine, a caller, a server."""
    with night_of(tmp_path, show) as found:
        yield found


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Night]:
    """A night that several tests look at: the first item is on."""
    with night_of(tmp_path_factory.mktemp("evening"), two_songs(pages=[CHECKS])) as found:
        found.start()
        found.send(c.Go("first:start"))
        yield found


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The system's Chromium, driven from here."""
    path = program("chromium")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium: Browser) -> Iterator[OpenPage]:
    """Opens a page: ``open_page(night, position, width, height)``, let in unless ``pin`` is None.

    An error on the page fails the test.
    """
    errors: list[str] = []
    with ExitStack() as stack:

        def opened(
            night: Night,
            position: str = "", width: int = 390, height: int = 780, name: str = "Kim", locale: str = "en-GB",
            pin: str | None = "right",
        ) -> Page:  # fmt: skip
            context = chromium.new_context(
                viewport={"width": width, "height": height}, ignore_https_errors=True, locale=locale
            )
            stack.callback(context.close)
            page = context.new_page()
            page.on("pageerror", lambda error: errors.append(str(error)))
            page.goto(night.server.link(position))
            page.wait_for_selector("#pin")
            if pin is not None:
                page.fill("#pin", night.server.status["pin"] if pin == "right" else pin)
                page.fill("#name", name)
                page.click("button[type=submit]")
            if pin == "right" and position:
                live(page)
            return page

        yield opened
    assert errors == []
