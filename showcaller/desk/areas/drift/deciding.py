"""Verdicts with one key while it plays, and what is decided: put into the book, given away, or left."""

from collections.abc import Callable
from functools import partial

from showcaller.archive.values import Verdict
from showcaller.calling.wording import span
from showcaller.desk.areas.drift.decisions import GIVEN, Decision
from showcaller.desk.areas.drift.lists import DECIDE
from showcaller.desk.areas.drift.questions import EXPECTED, Questions
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.areas.drift.taking_back import TakingBack
from showcaller.desk.keys import Keys
from showcaller.desk.person import person_here
from showcaller.desk.said import FootWords
from showcaller.editing.forms.field import names_told
from showcaller.model import Show
from showcaller.review.errors import ReviewError
from showcaller.review.instead import ASKED, asked_in, book_place, instead
from showcaller.review.verdicts import OPEN_AGAIN, TAKEN_BACK, applied_words
from showcaller.screen.cameras import SHOT_HINT

_AGAIN_NS = 3_000_000_000
"""The same verdict once more within so much of the recording asks for a word on it."""


class Deciding:
    """``moment_ns`` gives the moment that is looked at: the frame's while it plays, else the chosen one;
    ``heard`` is told whether a doubtful line was said."""

    def __init__(
        self,
        state: DriftState,
        said: FootWords,
        questions: Questions,
        keys: Keys,
        moment_ns: Callable[[], int | None],
        heard: Callable[[str, bool], None],
        taking_back: TakingBack,
    ) -> None:
        self._state, self._said, self._questions, self._keys = state, said, questions, keys
        self._moment_ns, self._heard = moment_ns, heard
        self._last: tuple[Verdict, int] | None = None
        self._taking_back = taking_back

    def judge(self, verdict: Verdict) -> None:
        """Good, bad or an idea, at this moment; again at once asks for a word."""
        t_ns = self._moment_ns()
        if self._state.view is None or t_ns is None:
            self._said.say("choose a line with a moment, or play the recording, then judge")
            return
        last = self._last
        if last is not None and last[0] == verdict and 0 <= t_ns - last[1] < _AGAIN_NS:
            self._ask_word(verdict, last[1])
            return
        t_ns = self._free_ns(t_ns)
        if self._write(t_ns, verdict, verdict):
            self._last = verdict, t_ns
            self._taking_back.remember(verdict, partial(self._take_back, t_ns))
            again = f"{self._keys[f'drift.{verdict}']} again: a word on it"
            self._said.say(f"{verdict} at {_place(self._state, t_ns)}; {again}")

    def _ask_word(self, verdict: Verdict, t_ns: int) -> None:
        def done(text: str) -> str | None:
            if text.strip() and self._write(t_ns, verdict, text.strip()):
                self._taking_back.remember(
                    f"the word on {verdict}", partial(self._write, t_ns, verdict, verdict)
                )
                self._said.say(f"{verdict}: {text.strip()}")
            return None

        self._questions.about(f"{verdict}: a word on it", done, "hands in the air, nobody saw it")

    def apply(self) -> None:
        """Apply what is chosen to the book."""
        chosen = self._chosen()
        if chosen is None:
            return
        if chosen.heard:
            self._heard(chosen.heard, True)
        elif chosen.settled:
            self._said.say(f"that is settled; {self._keys['drift.settle']} opens it again")
        elif chosen.change is None:
            self._said.say(chosen.why or "there is no change ready for that; make it in the Book")
        else:
            self._taking_back.book_changes()
            try:
                self._state.store.do_document(chosen.does, chosen.change)
            except EXPECTED as error:
                self._said.say(str(error))
                return
            self._say_applied(chosen.does, self._write(chosen.t_ns, "decided", applied_words(chosen.does)))

    def ask_instead(self) -> None:
        """Another look or source where the recording is: into the book at once."""
        state, t_ns = self._state, self._moment_ns()
        view = state.view
        if view is None or t_ns is None:
            self._said.say("choose a line with a moment, or find it in the recording")
            return
        report, book = view.report, state.store.document
        try:
            place = book_place(report.plan, view.path, t_ns, book)
        except ReviewError as error:
            self._said.say(str(error))
            return

        def done(text: str) -> str | None:
            if not text.strip():
                return "type a look or a source, or press Escape"
            words, change = instead(place, book, text)
            self._taking_back.book_changes()
            state.store.do_document(words, change)
            at_ns = self._free_ns(t_ns, of_any=True)
            kept = self._write(at_ns, "idea", f"{ASKED}{text.strip()}")
            kept = kept and self._write(at_ns, "decided", applied_words(words))
            if kept:
                self._taking_back.remember(words, partial(self._undo_instead, at_ns))
            self._say_applied(words, kept)
            return None

        was = "nothing" if place.look is None else f"“{place.look.name}”"
        tonight = view.standings.at(t_ns).look
        other = f"Tonight “{tonight}” was on; t" if tonight and f"“{tonight}”" != was else "T"
        self._questions.about(
            f"{other}he book has {was} at {place.words}. What instead?", done, suggest=partial(_hint, book)
        )

    def assign(self) -> None:
        """Give what is chosen to somebody."""
        chosen = self._chosen()
        if chosen is None:
            return

        def done(text: str) -> str | None:
            if not text.strip():
                return "type a name, and what is to be done if you like"
            self._decide(chosen, f"{GIVEN}{text.strip()}")
            self._said.say(f"given {GIVEN}{text.strip()}: {chosen.row.name}")
            return None

        self._questions.about("Who does it?", done, "Bo: try the crane")

    def settle(self) -> None:
        """Leave what is chosen as it is; or open it again."""
        chosen = self._chosen()
        if chosen is not None and chosen.heard:
            self._heard(chosen.heard, False)
        elif chosen is not None and chosen.in_book:
            self._said.say(f"the book has it: {self._keys['undo']} takes it back, or change it in the Book")
        elif chosen is not None:
            text = OPEN_AGAIN if chosen.settled else "left as it is"
            self._decide(chosen, text)
            self._said.say(f"{text}: {chosen.row.name}")

    def _say_applied(self, does: str, kept: bool) -> None:
        """The book has it; whether the tour has a note of it is said too."""
        why = "" if kept else f"; the tour has no note of it: {self._said.words}"
        self._said.say(f"{applied_words(does)}; {self._keys['undo']} takes it back{why}")

    def _undo_instead(self, t_ns: int) -> bool:
        """The book as it was, and no idea left of it."""
        return self._state.store.undo() is not None and self._take_back(t_ns)

    def _take_back(self, t_ns: int) -> bool:
        return self._write(t_ns, "decided", TAKEN_BACK)

    def _decide(self, chosen: Decision, text: str) -> None:
        if self._write(chosen.t_ns, "decided", text):
            before = chosen.settled or OPEN_AGAIN
            self._taking_back.remember(f"“{text}”", partial(self._write, chosen.t_ns, "decided", before))

    def _chosen(self) -> Decision | None:
        state = self._state
        if state.view is None or state.page != DECIDE:
            self._said.say(f"{self._keys['drift.decide']} opens the list of what is to be decided")
            return None
        rows, n, book = state.rows(), state.chosen, state.store.document
        one = state.decisions.of_row(state.view, book, rows[n]) if n < len(rows) else None
        if one is None:
            self._said.say("nothing is to be decided here")
        return one

    def _free_ns(self, t_ns: int, of_any: bool = False) -> int:
        """The moment, a nanosecond on where what was asked for *this instead* is, or ``of_any``, anything:
        what is written of one is not written of the other."""
        view = self._state.view
        remarks = () if view is None else view.report.remarks
        taken = {r.t_ns for r in remarks if of_any or asked_in(r.text)}
        if of_any and view is not None:
            taken |= {d.t_ns for d in self._state.decisions.of(view, self._state.store.document)}
        while t_ns in taken:
            t_ns += 1
        return t_ns

    def _write(self, t_ns: int, kind: str, text: str) -> bool:
        try:
            view, tour = self._state.need()
            tour.add_remark(view.run, t_ns, text, kind=kind, by=person_here())  # type: ignore[arg-type]
        except (*EXPECTED, ReviewError) as error:
            self._said.say(str(error))
            return False
        self._state.again()
        return True


def _place(state: DriftState, t_ns: int) -> str:
    """Where a moment is in the song, ``bar 65 / 1``."""
    standing = None if state.view is None else state.view.standings.at(t_ns)
    if standing is None or not standing.item:
        return "this moment"
    bar = standing.bar
    where = f"bar {bar[0]} / {bar[1]}" if bar is not None and bar[0] >= 1 else ""
    return where or (span(standing.clock_s) if standing.clock_s is not None else standing.item)


def _hint(book: Show, text: str) -> str:
    """The looks and sources whose names have that in them."""
    wanted = text.strip().lower()
    looks = names_told(k.name for k in book.looks if wanted in k.name.lower())
    sources = names_told(s.name for s in book.sources if wanted in s.name.lower())
    told = (
        f"looks: {looks}" if looks else "",
        f"sources, for its front layer: {sources}" if sources else "",
        "" if wanted else "or what a camera has: 2: hands; 85 mm",
    )
    if ":" in wanted:
        return f"a shot from here to the section's end; or {SHOT_HINT}"
    return "\n".join(w for w in told if w) or "no look and no source of that name"
