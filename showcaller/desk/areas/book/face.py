"""What the book looks like: where its parts lie, and all of it drawn."""

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from showcaller.desk.areas.book.form import draw_form, lay_out
from showcaller.desk.areas.book.order import FIGURES, TOP, draw_sums
from showcaller.desk.areas.book.strip import Ground, Window, draw_strip
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.signs import SignSheet
from showcaller.desk.qt import QRectF
from showcaller.editing.placing import cue_name

if TYPE_CHECKING:
    from showcaller.desk.areas.book.area import BookArea

SAID_S = 12.0
"""How long what was done, or why not, stays at the foot."""


class Face:
    """Draws what the area holds; it works nothing out but places."""

    def __init__(self, area: "BookArea", running: Callable[[], bool]) -> None:
        self._area = area
        self._running = running
        self._signs = SignSheet()

    def lay_out(self) -> None:
        """Where strip, running order and form lie at this size."""
        k = self._area.scale()
        left, right = 472 * k, self._area.width() - 28 * k
        view = self._area.view
        assert view is not None
        top = 98 * k
        lanes = top + 100 * k
        count = max(1, len(view.lanes))
        step = min(58 * k, max(22 * k, (self._area.height() - lanes - 500 * k) / count))
        length_s = view.length_s
        self._area.ground = Ground(
            left, right, top, lanes, step, count, self._area.window_s or Window(0.0, length_s)
        )
        high = max(3 * 36 * k, self._area.height() - (TOP + FIGURES) * k)
        self._area.order.fit(18 * k, int(36 * k))
        self._area.order.setGeometry(
            int(14 * k), int(TOP * k), int(304 * k), int(high // int(36 * k)) * int(36 * k)
        )
        # Room for two warnings is always kept: fields that jump are missed by the hand.
        form_top = self._area.ground.bottom + 150 * k
        room = self._area.height() - form_top - 40 * k
        self._area.rows = lay_out(self._area.fields, QRectF(352 * k, form_top, right - 352 * k, room), k)

    def draw(self, paper: Paper) -> None:
        """Everything, or the page that is open."""
        view = self._area.view
        if view is None:
            return
        k = paper.px
        self.lay_out()
        assert self._area.ground is not None
        paper.text(k(28), k(44), view.title, "title", "strong", "semibold", room=k(900))
        paper.text(k(28), k(76), view.facts, "small", "quiet", room=paper.width - k(60))
        foot = self._area.order.geometry().bottom() + k(30)
        draw_sums(paper, self._area.show_now, self._area.forecast, foot)
        if self._area.pages.now is not None:
            self._area.pages.now.draw(
                paper, QRectF(k(352), k(96), paper.width - k(380), paper.height - k(140))
            )
            self._foot(paper)
            return
        end = draw_strip(
            paper,
            view,
            self._area.ground,
            self._signs,
            self._area.cue_index(),
            self._area.hand.dragged,
            self._area.peaks.now,
        )
        y = end + k(4)
        for sentence in view.collisions[:2]:
            paper.text(
                self._area.ground.left,
                y + k(20),
                sentence,
                "small",
                "caution",
                room=self._area.ground.right - self._area.ground.left,
            )
            y += k(30)
        cue = self._area.cue()
        heading = (
            "the show"
            if self._area.of_show
            else view.title
            if cue is None
            else f"{cue_name(self._area.show_now, cue)}"
        )
        top = self._area.rows[0].value.top() if self._area.rows else y
        paper.heading(k(352), top - k(16), heading)
        draw_form(paper, self._area.rows, self._area.bytes_of)
        self._foot(paper)

    def _foot(self, paper: Paper) -> None:
        k = paper.px
        words, tone = self.foot_words()
        size = "tiny" if tone == "quiet" else "small"
        paper.text(k(28), paper.height - k(16), words, size, tone, "medium", room=paper.width - k(56))

    def foot_words(self) -> tuple[str, str]:
        """(what stands at the foot, its tone)."""
        if self._running() and self._area.typing.edit.is_open():
            return (
                "A run is on, and what is typed now are letters: Escape gives the keys back to it.",
                "caution",
            )
        words, tone, since = self._area.said
        if words and time.monotonic() - since < SAID_S:
            return words, tone if tone != "quiet" else "text"
        if self._area.store.read_only:
            return self._area.store.read_only, "caution"
        if self._running():
            return "A run is on with the show as it was opened: changes here are for the next one.", "text"
        keys = self._area.keys
        words = (
            f"{keys['book.edit']}: type into the fields · drag a cue · double-click a lane: new cue · "
            f"{keys['help']} all keys · {keys['palette']} find an action"
        )
        return words, "quiet"
