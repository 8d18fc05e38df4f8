"""The line to say now, at the foot of the other areas while a run is on: no one loses the place."""

from showcaller.calling.caller_view import CallView
from showcaller.calling.wording import span
from showcaller.desk.areas.call.box_words import hazard_mark
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet


class NowBar(Sheet):
    """One line; the keys of a run work in every area as long as it is shown."""

    def __init__(self, keys: Keys) -> None:
        super().__init__("The line to call now")
        self._keys = keys
        self._view = CallView("idle")
        self._words = ("", "", "quiet")

    def show_view(self, view: CallView, since_s: float, asked: tuple[str, str] | None) -> None:
        """Show what the call area would; ``asked`` is (heading, words) of a question in its place."""
        words = self._line(view, since_s) if asked is None else (*asked, "caution")
        if words != self._words:
            self._words = words
            self.setAccessibleDescription(words[1])
            self.update()

    def _line(self, view: CallView, since_s: float) -> tuple[str, str, str]:
        if view.held_s is not None:
            return (
                f"on hold {span(view.held_s)}",
                view.hold_reason or (f"{self._keys['hold']} resumes" if self._keys.letters else ""),
                "caution",
            )
        if view.now is None:
            return "", "Every go has been given", "quiet"
        in_s = view.now.in_s - since_s
        go = view.now.what == "go"
        when = f"in {span(in_s)}" if in_s >= 1 else "now"
        if view.now.sees is not None:
            when = view.now.place
        marks = [hazard_mark(self._keys)] if view.now.hazard else []
        marks += [f"waiting for {', '.join(view.now.waits)}"] if go and view.now.waits else []
        if marks:  # the go alone will not fire it
            when = " · ".join([when, *marks])
            return f"{view.now.what} {when}", view.now.text, "caution"
        tone = "missed" if view.missed else "accent" if go else "standby"
        return f"{view.now.what} {when}", view.now.text, tone

    def draw(self, paper: Paper) -> None:
        k = paper.px
        heading, words, tone = self._words
        paper.fill(0, 0, paper.width, paper.height, "panel")
        paper.fill(0, 0, paper.width, k(3), tone)
        y = paper.height / 2 + k(10)
        used = paper.text(k(28), y, heading.upper(), "small", tone, "semibold", room=k(520), spaced=True)
        paper.text(k(52) + used, y, words, "line", "strong", "semibold", room=paper.width - used - k(80))
