"""The middle of the call area: what has been said, the line to say now, and the ladder."""

from dataclasses import dataclass
from math import log1p

from showcaller.calling.caller_view import CallView, Rung
from showcaller.calling.wording import lateness, said_aloud, span
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.told import Prompted
from showcaller.run.runbook import Said

EVEN_S = 8.0
"""Distance on the ladder is time: about even over the first seconds, then drawn together, to 5 minutes."""
FAR_S = 300.0
_COUNT_S = 10.0
"""A line this close has a shrinking bar."""


def rung_place(in_s: float) -> float:
    """Where an instant lies on the ladder: 0 at the now rule, 1 at its foot five minutes on."""
    return min(1.0, log1p(max(0.0, in_s) / EVEN_S) / log1p(FAR_S / EVEN_S))


class CentreSheet(Sheet):
    """Drawn anew at every frame while a run is on: only the distances change between two views."""

    def __init__(self, keys: Keys) -> None:
        super().__init__("The line to say now, and the lines to come")
        self.keys = keys
        self.view = CallView("idle")
        self.said: list[Said] = []
        self.since_s = 0.0
        self.asked: Prompted | None = None
        self.refused: str | None = None
        self.place_words = ""
        self.watch = ""

    def show_view(self, view: CallView, said: list[Said], place_words: str) -> None:
        """Show this view, made just now."""
        spoken = view.now.text if view.now else ""
        if self.view.now is None or spoken != self.view.now.text:
            self.setAccessibleDescription(spoken)
        self.view, self.said, self.since_s, self.place_words = view, said, 0.0, place_words

    def draw(self, paper: Paper) -> None:
        k = paper.px
        left, right = k(22), paper.width - k(22)
        box_top = k(122) if paper.height > k(560) else k(84)
        box_height = k(176)
        self._draw_said(paper, left, right, box_top)
        self._draw_box(paper, left, right, box_top, box_height)
        top = box_top + box_height + k(26)
        self._draw_ladder(paper, left, right, top)

    def _draw_said(self, paper: Paper, left: float, right: float, box_top: float) -> None:
        k = paper.px
        if self.asked is not None and not self.asked.instead:
            paper.fill(left, k(8), right - left, box_top - k(20), "raised")
            paper.fill(left, k(8), k(5), box_top - k(20), self.asked.tone)
            x = left + k(24)
            tone = "text" if self.asked.tone == "quiet" else self.asked.tone
            paper.text(x, k(38), self.asked.heading.upper(), "small", tone, "semibold", spaced=True)
            paper.text(
                x, box_top - k(34), self.asked.words, "line", "strong", "semibold", room=right - x - k(20)
            )
            return
        paper.heading(left + k(16), k(30), "said")
        y = box_top - k(18)
        if self.watch:
            paper.fill(left, box_top - k(50), right - left, k(44), "caution")
            paper.text(
                left + k(16), box_top - k(18), self.watch.upper(), "small", "ground", "bold",
                room=right - left - k(32), spaced=True,
            )  # fmt: skip
            y -= k(54)
        for said in reversed(self.said[-2:]):
            if y < k(58):
                break
            late = "" if said.late_s is None else lateness(said.late_s)
            words = said_aloud(said.text)
            late_tone = "caution" if said.late_s is not None and abs(said.late_s) >= 1 else "quiet"
            paper.text(left + k(16), y, words, "body", "quiet", room=right - left - k(160))
            paper.text(right - k(16), y, late, "small", late_tone, align="right")
            y -= k(34)

    def _draw_box(self, paper: Paper, left: float, right: float, top: float, height: float) -> None:
        k = paper.px
        words = self._box_words()
        if self.watch:  # whoever watches says nothing and gives nothing: no green, no bar
            words = words.with_(tone="quiet", bar=None)
        ground = {"accent": "accent_ground", "standby": "standby_ground"}.get(words.tone, "panel")
        paper.fill(left, top, right - left, height, ground)
        paper.frame(left, top, right - left, height, words.tone, 3)
        inner = left + k(28)
        used = paper.text(
            inner, top + k(40), words.heading.upper(), "small", words.tone, "semibold", spaced=True
        )
        if words.count:
            used += k(18) + paper.text(
                inner + used + k(18), top + k(40), words.count, "line", "strong", "semibold"
            )
        if words.bar is not None and inner + used + k(80) < right:
            self._bar(paper, inner + used + k(24), right - k(28), top + k(31), words)
        room = right - inner - k(28) - k(46) * len(words.signs)
        full = paper.fitted(words.line, "say", "bold", room, 0.42)
        if full > 0.55 * paper.size("say"):
            paper.text(inner, top + k(108), words.line, tone="strong", weight="bold", size_px=full, room=room)
        else:  # a caution, or a standby for half the crew: whole, on two lines
            lines, size = (2, "line") if self.asked is None else (3, "small")
            paper.wrapped(inner, top + k(72), words.line, room, size, "strong", lines, "semibold")
        x = right - k(44)
        for sign in reversed(words.signs):
            paper.sign(x, top + k(90), sign.department, sign.filled, 18)
            x -= k(46)
        room = right - inner - k(30)
        if words.foot_tone == "missed":
            paper.wrapped(inner, top + k(140), words.foot, room, "small", "missed", 2, "semibold")
        else:
            paper.text(inner, top + k(152), words.foot, "small", words.foot_tone, room=room)

    def _bar(self, paper: Paper, x0: float, x1: float, y: float, words: "_BoxWords") -> None:
        """The shrinking bar; its last stretch is the time the words take to say."""
        k = paper.px
        assert words.bar is not None
        width = x1 - x0
        paper.fill(x0, y - k(5), width, k(10), "line")
        speak = min(1.0, words.takes_s / _COUNT_S)
        paper.fill(x0, y - k(5), width * words.bar, k(10), words.tone)
        paper.fill(x0 + width * speak - k(1), y - k(9), k(3), k(18), "strong")

    def _box_words(self) -> "_BoxWords":
        view = self.view
        if self.asked is not None and self.asked.instead:
            foot = "The emergency stop is hardware, and elsewhere."
            if self.view.next_go is not None and self.view.held_s is None:
                # Armed, the line and the time to it stay: too early is as wrong here as anywhere.
                words = self._line_words(self.view.next_go)
                heading = f"armed: {self.keys['confirm']} fires · {words.heading}"
                foot = f"{self.asked.words} {foot}"
                return words.with_(heading=heading, foot=foot, tone=self.asked.tone, foot_tone="missed")
            return _BoxWords(self.asked.heading, "", self.asked.words, foot, self.asked.tone)
        if view.held_s is not None:
            reason = view.hold_reason or "Everything stands still"
            count = span(view.held_s)
            nxt = f" · then {view.next_go.text}" if view.next_go else ""
            foot = (
                f"Refused: {self.refused}"
                if self.refused
                else f"{self.keys['hold']} goes on, {self.keys['why']} says why{nxt}"
            )
            return _BoxWords("held", count, reason, foot, "caution")
        if view.phase == "idle":
            return _BoxWords(
                "no run open",
                "",
                "Open the run",
                f"{self.keys['open']} opens it, with the caller's name",
                "quiet",
            )
        if view.phase == "ended":
            return _BoxWords(
                "the run has ended", "", "It is in the tour", "Drift shows where the time went", "quiet"
            )
        if view.now is None:
            foot = f"{self.keys['end']} ends the run"
            return _BoxWords("done", "", "Every go has been given", foot, "quiet")
        words = self._line_words(view.now)
        return words.with_(heading=f"{self._hazard_mark()} · {words.heading}") if view.now.hazard else words

    def _hazard_mark(self) -> str:
        return f"hazard: {self.keys['go']}, then {self.keys['confirm']}"

    def _line_words(self, now: Rung) -> "_BoxWords":
        in_s = now.in_s - self.since_s
        go = now.what == "go"
        tone = "accent" if go else "standby"
        foot = self._foot(now)
        foot_tone = "missed" if self.refused else "text"
        words = _BoxWords("", "", now.text, foot, tone, foot_tone, now.signs, None, now.takes_s)
        if go and now.sees is not None and not now.waits:
            return words.with_(heading=f"watch: {now.sees}")
        if go and not now.firm and not now.waits:
            heading = "begin" if now.starts_item else "go"
            if in_s > 1:
                return words.with_(heading=f"{heading} in about", count=span(in_s))
            return words.with_(heading=f"{heading} when ready")
        verb = "say go" if go else f"say {now.what}"
        if go and now.waits:
            # Green would say that it may go.
            count = span(in_s) if now.firm else ""
            return words.with_(heading=f"waiting for {', '.join(now.waits)}", count=count, tone="caution")
        if self.view.missed:
            return words.with_(heading="go is late", count=f"{-in_s:.0f} s", tone="missed")
        if go and self.view.waiting and in_s <= _COUNT_S:
            # Asked before the go, not at it: a second press on the beat would be late.
            words = words.with_(tone="caution")
            verb = f"no answer from {', '.join(self.view.waiting)} · {verb}"
        if in_s <= 0:
            return words.with_(heading=f"{verb} now", bar=0.0 if go else None)
        count = f"{in_s:.1f} s" if in_s < _COUNT_S else span(in_s)
        bar = in_s / _COUNT_S if in_s <= _COUNT_S else None
        return words.with_(heading=f"{verb} in", count=count, bar=bar)

    def _foot(self, now: Rung) -> str:
        if self.refused:
            return f"Refused: {self.refused}"
        parts = []
        if now.what == "go":
            if self.view.answered:
                parts.append(f"answered: {', '.join(self.view.answered)}")
            if self.view.waiting:
                parts.append(f"no answer yet: {', '.join(self.view.waiting)}")
            if now.hazard:
                parts.append(now.hazard)
            parts.append(self.place_words)
        elif self.view.next_go is not None:
            go = self.view.next_go
            when = f" in {span(go.in_s - self.since_s)}" if go.firm else ""
            means = self._hazard_mark() if go.hazard else f"{self.keys['go']} still means"
            parts.append(f"{self.keys['standby']} says it · {means}: {go.text}{when}")
        return " · ".join(p for p in parts if p)

    def _draw_ladder(self, paper: Paper, left: float, right: float, top: float) -> None:
        k = paper.px
        paper.fill(left, top, right - left, k(4), "strong")
        rail = left + k(82)
        foot = paper.height - k(16)
        paper.line(rail, top + k(4), rail, foot, "line", 2)
        paper.text(left, top + k(26), "now", "tiny", "quiet")
        first, height = top + k(44), foot - top - k(56)
        for mark in (5, 10, 20, 30, 60, 120, 240):
            y = first + height * rung_place(mark)
            paper.line(rail - k(5), y, rail, y, "faint", 2)
        y_free = first
        shown = 0
        for rung in self.view.ladder:
            in_s = rung.in_s - self.since_s
            y = max(first + height * rung_place(in_s), y_free)
            if y > foot - k(30):
                break
            self._draw_rung(paper, rung, in_s, rail, right, y)
            y_free = y + k(37)
            shown += 1
        hidden = len(self.view.ladder) - shown + self.view.more
        if hidden:
            paper.text(
                right - k(4), foot, f"{hidden} more within five minutes", "tiny", "quiet", align="right"
            )

    def _draw_rung(self, paper: Paper, rung: Rung, in_s: float, rail: float, right: float, y: float) -> None:
        k = paper.px
        paper.text(rail - k(16), y + k(7), span(in_s), "small", "quiet", align="right")
        paper.line(rail - k(8), y, rail + k(6), y, "text", 3)
        x = rail + k(38)
        signs = rung.signs[:6]
        for sign in signs:
            paper.sign(x, y, sign.department, sign.filled and rung.what == "go", 12)
            x += k(32)
        x = max(rail + k(150), x + k(2))
        tone, weight = {
            "go": ("strong", "semibold"),
            "standby": ("standby", "regular"),
            "warning": ("caution", "regular"),
            "automatic": ("quiet", "regular"),
        }[rung.what]
        size = "body" if rung.what == "automatic" else "line"
        text = rung.text
        if rung.sees is not None:
            text += f" · when {rung.sees}"
        note = " · hazard" if rung.hazard else ""
        room = right - x - k(8)
        fitted = paper.fitted(text + note, size, weight, room, 0.7)
        used = paper.text(x, y + k(9), text + note, tone=tone, weight=weight, room=room, size_px=fitted)
        left_over = right - x - used - k(24)
        if rung.what != "automatic" and 0 < in_s < _COUNT_S and left_over > k(60):
            paper.fill(x + used + k(18), y - k(2), left_over * in_s / _COUNT_S, k(4), "line")


@dataclass(frozen=True)
class _BoxWords:
    heading: str
    count: str
    line: str
    foot: str
    tone: str
    foot_tone: str = "text"
    signs: tuple = ()
    bar: float | None = None
    takes_s: float = 0.0

    def with_(self, **changes: object) -> "_BoxWords":
        fields = {name: getattr(self, name) for name in self.__dataclass_fields__}
        return _BoxWords(**{**fields, **changes})
