"""What tests of the crew pages say of a page in a real browser."""

from collections.abc import Callable

from playwright.sync_api import Page

OpenPage = Callable[..., Page]
"""Opens a page: night, position, width, height, name, locale, PIN."""


def live(page: Page) -> None:
    """Wait until the page says of itself that it is live."""
    page.wait_for_selector("html[data-live=true]", timeout=8000)
