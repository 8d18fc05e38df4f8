"""The middle of the call area: what has been said, the line to say now, and the ladder."""

from showcaller.calling.caller_view import CallView
from showcaller.calling.lyrics_view import LyricsView
from showcaller.calling.wording import lateness, said_aloud
from showcaller.desk.areas.call import box, ladder, lyrics, message
from showcaller.desk.areas.call.box_words import BoxState, BoxWords, box_words
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.told import Prompted
from showcaller.run.runbook import Said
from showcaller.values import replace

SAY_SIZES = (0.8, 1.0, 1.25, 1.5)
"""How large the line to say can be set."""
_BAND = 46
"""The room of a band over the box."""
_BAND_LEAST = 0.75
"""Of its size: smaller is not read from a chair."""


class CentreSheet(Sheet):
    """Drawn anew at every frame while a run is on: only the distances change between two views."""

    def __init__(self, keys: Keys) -> None:
        super().__init__("The line to call now, and the lines to come")
        self.keys = keys
        self.view = CallView("idle")
        self.said: list[Said] = []
        self.since_s = 0.0
        self.asked: Prompted | None = None
        self.refused: str | None = None
        self.place_words = ""
        self.watch = ""
        self.typing = ""
        self.looping = ""
        self.say = 1.0
        self.sung: LyricsView | None = None
        self.paged = False
        """Something else lies in the ladder's place, from ``below_px`` on."""
        self.below_px = 0.0

    def show_view(self, view: CallView, said: list[Said], place_words: str) -> None:
        """Show this view, made just now."""
        spoken = view.now.text if view.now else ""
        if self.view.now is None or spoken != self.view.now.text:
            self.setAccessibleDescription(spoken)
        self.view, self.said, self.since_s, self.place_words = view, said, 0.0, place_words

    def resize_line(self, step: int) -> None:
        """The line to say a size larger or smaller."""
        at = SAY_SIZES.index(self.say) if self.say in SAY_SIZES else 1
        self.say = SAY_SIZES[max(0, min(len(SAY_SIZES) - 1, at + step))]
        self.update()

    def words(self) -> BoxWords:
        """What stands in the box now."""
        state = BoxState(self.keys, self.since_s, self.asked, self.refused, self.place_words)
        words = box_words(self.view, state)
        if self.watch:  # whoever watches says nothing and gives nothing: no green, no bar
            return replace(words, tone="quiet", bar=None, lit=False)
        return words

    def draw(self, paper: Paper) -> None:
        k = paper.px
        left, right = k(22), paper.width - k(22)
        words = self.words()
        bands = ((self.typing, "missed"), (self.watch, "caution"), (self.looping, "standby"))
        band, tone = next((b for b in bands if b[0]), ("", ""))
        laid = box.lay(paper, words, right - left, self.say)
        above = None if self.asked is None or self.asked.instead else self.asked
        said = None if above is None else message.lay(paper, above, right - left)
        # A box that needs much takes it from what has been said, never from the line.
        wanted = k(122) if paper.height > k(560) and not self.paged else k(96)
        sung = None if self.paged else self.sung
        under = 0.0 if sung is None else k(lyrics.HEIGHT)
        banded = k(_BAND) if band else 0.0
        head = max(k(16), min(wanted, paper.height - laid.height - k(160) - under - banded))
        # What is asked and the band have room of their own; neither lies over the other.
        head = max(head, 0.0 if said is None else said.foot(paper))
        box_top = head + banded
        if above is not None and said is not None:
            message.draw(paper, said, above.tone, left, right)
        else:
            self._draw_said(paper, left, right, head)
        if band:
            self._draw_band(paper, band, tone, left, right, box_top)
        box.draw(paper, words, laid, left, box_top, right - left)
        top = box_top + laid.height + k(26)
        if sung is not None:
            lyrics.draw(paper, sung, self.since_s, left, right, top - k(20))
            top += under
        self.below_px = top
        if self.paged:
            return
        ladder.draw(paper, self.view.ladder, self.view.more, self.since_s, left, right, top)

    def _draw_band(
        self, paper: Paper, band: str, tone: str, left: float, right: float, box_top: float
    ) -> None:
        k = paper.px
        paper.fill(left, box_top - k(_BAND), right - left, k(_BAND - 2), tone)
        room = (right - left - k(32)) / 1.09  # capitals are spaced
        words = _as_many(paper, band.upper(), room)
        size = paper.fitted(words, "body", "bold", room, _BAND_LEAST)
        paper.text(
            left + k(16),
            box_top - k(16),
            words,
            tone="ground",
            weight="bold",
            size_px=size,
            spaced=True,
            room=right - left - k(32),
        )

    def _draw_said(self, paper: Paper, left: float, right: float, foot: float) -> None:
        k = paper.px
        y = foot - k(18)
        lowest = k(24)
        if foot > k(80):
            paper.heading(left + k(16), k(30), "called")
            lowest = k(58)
        if self.view.missed_cues and y > lowest:
            what = ", ".join(self.view.missed_cues)
            by_hand = f" · {self.keys['take']} {self.keys['take']} to fire it by hand"
            words = f"did not fire: {what}{by_hand if self.keys.letters else ''}"
            size = paper.fitted(words, "body", "semibold", right - left - k(32), 0.7)
            paper.text(left + k(16), y, words, tone="missed", weight="semibold", size_px=size)
            y -= k(34)
        for said in reversed(self.said[-2:]):
            if y < lowest:
                break
            late = "" if said.late_s is None else lateness(said.late_s)
            words = said_aloud(said.text) + (f"  ({said.does})" if said.does else "")
            late_tone = "caution" if said.late_s is not None and abs(said.late_s) >= 1 else "quiet"
            tone = "missed" if said.missed else "quiet"
            paper.text(left + k(16), y, words, "body", tone, room=right - left - k(160))
            paper.text(right - k(16), y, late, "small", late_tone, align="right")
            y -= k(34)


def _as_many(paper: Paper, band: str, room: float) -> str:
    """As many of a band's parts as can be read from a chair: the first ones, and that there are more."""
    parts = band.split(" · ")
    for kept in range(len(parts), 1, -1):
        words = " · ".join((*parts[:kept], *(["…"] if kept < len(parts) else [])))
        if paper.width_of(words, paper.size("body") * _BAND_LEAST, "bold") <= room:
            return words
    return " · ".join(parts[:2])
