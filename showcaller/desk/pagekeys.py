"""Keys for pages that are read aloud: the list of them, the next line, a tick taken back, a page closed.

What is in view is the desk's own; what is open and ticked is the run's, so that Escape loses nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.pages_aloud import OpenedPage, PageChoice, page_banner, page_choices, page_view
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.desk.told import Paged
from showcaller.run import commands as c
from showcaller.run.runbook import RunBook

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class PageKeys:
    """``session`` is that of the last frame. Lines and pages are chosen by their places, from 0."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys
        self.session: RunSession | None = None
        self._listing = False
        self._front: str | None = None
        self._at: int | None = None
        self._opening = False

    def pages(self, session: RunSession, _view: CallView) -> None:
        """The list of pages; again: away with it."""
        self.session = session
        rows = page_choices(session.book, session.now_ns())
        if not rows:
            self._words.say("pages", "This show has no pages to read; type them in the set-up", 3.0, "quiet")
            return
        if self._listing:
            self.leave()
            return
        # The page that was in view, else one that is open, else the first.
        at = [n for n, row in enumerate(rows) if row.id == self._front]
        at += [n for n, row in enumerate(rows) if row.open]
        self._listing, self._at = True, (at or [0])[0]

    def leave(self) -> bool:
        """Out of view with the page, or the list; the page stays open in the run."""
        was = self._listing or self._front is not None
        self._listing, self._front, self._at, self._opening = False, None, None, False
        return was

    def banner(self, session: RunSession | None) -> str:
        """What stands over the box while a page is open that is not in view."""
        if session is None or session.book.state.phase == "ended" or self._listing or self._front:
            return ""
        return page_banner(session.book, session.now_ns(), self._keys["pages"])

    def shown(self, book: RunBook, now_ns: int) -> Paged | None:
        """What is in view: a page, or the list of them."""
        if book.state.phase not in ("running", "held"):
            self.leave()
            return None
        if self._listing:
            return Paged(None, page_choices(book, now_ns), self._at or 0)
        page = None if self._front is None else page_view(book, self._front, now_ns)
        if page is None:
            if not self._opening:  # it was closed, here or at another desk
                self._front = self._at = None
            return None
        self._opening = False
        return Paged(page, (), self._place(page))

    def perform(self, name: str) -> None:
        """Do one of the actions of an open page or of the list, by its id."""
        session = self.session
        shown = None if session is None else self.shown(session.book, session.now_ns())
        if session is None or shown is None:
            self._words.say("pages", f"{self._keys['pages']} brings the pages to read aloud", 2.0, "quiet")
        elif name in ("page_up", "page_down"):
            last = (len(shown.choices) if shown.page is None else len(shown.page.rows)) - 1
            self._at = max(0, min(last, shown.at + (1 if name == "page_down" else -1)))
        elif shown.page is None:
            self._in_list(session, name, shown.choices[shown.at])
        elif name == "page_tick":
            self._tick(session, shown.page, shown.at)
        elif name == "page_untick":
            self._untick(session, shown.page)
        else:
            self._close(session, shown.page.id, shown.page.name)

    def _place(self, page: OpenedPage) -> int:
        if self._at is not None:
            return min(self._at, max(0, len(page.rows) - 1))
        return page.next if page.next is not None else max(0, len(page.rows) - 1)

    def _in_list(self, session: RunSession, name: str, row: PageChoice) -> None:
        if name == "page_tick":
            self._listing, self._front, self._at, self._opening = False, row.id, None, not row.open
            if not row.open:
                session.send(c.OpenPage(row.id, _who(session)))
        elif name == "page_close" and row.open:
            self._close(session, row.id, row.name)

    def _tick(self, session: RunSession, page: OpenedPage, at: int) -> None:
        row = page.rows[at] if page.rows else None
        if row is None or page.next is None:
            close = self._keys["call.page_close"]
            self._words.say(page.name, f"every line is ticked: {close} {close} closes the page", 3.0, "quiet")
            return
        if row.ticked:
            untick = self._keys["call.page_untick"]
            self._words.say(page.name, f"ticked at {row.ticked}; {untick} takes it back", 2.0, "quiet")
            return
        of = row.clearance
        if of is not None and not of.there and not self._words.twice("page", f"{page.id}{row.n}"):
            self._words.say("not clear · again ticks it all the same", f"{of.name}: {of.words}", 3.0)
            return
        session.send(c.TickLine(page.id, row.n, _who(session)))
        self._at = None

    def _untick(self, session: RunSession, page: OpenedPage) -> None:
        """The chosen line's tick; else the last one."""
        ticks = session.book.state.pages[page.id].ticks
        if not ticks:
            self._words.say(page.name, "no line is ticked yet", 2.0, "quiet")
            return
        chosen = None if self._at is None else self._at + 1
        line = (
            chosen
            if chosen is not None and chosen in ticks
            else max(ticks, key=lambda n: (ticks[n].at_ns, n))
        )
        session.send(c.UntickLine(page.id, line, _who(session)))
        self._at = None

    def _close(self, session: RunSession, ident: str, name: str) -> None:
        if self._words.twice("close page", ident):
            session.send(c.ClosePage(ident, _who(session)))
            self._at = None if self._front else self._at
        else:
            self._words.say("press again to close the page", f"{name}: its ticks stay in the log", 3.0)


def _who(session: RunSession) -> str:
    return session.book.state.caller if session.has_calls else session.name
