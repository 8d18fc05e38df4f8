"""Keys for the clock of the item that is on: a tap, a bar, timecode or by hand, and a hold that was a
slip."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.clock_shift import tap_shift
from showcaller.calling.wording import seconds_moved
from showcaller.desk.ask import Done
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c
from showcaller.run import events as ev

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class ClockKeys:
    """One method an action; ``look`` says by how much the clock was moved, whoever moved it."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys
        self._told: tuple[RunSession | None, ev.Resynced | None] = (None, None)

    def look(self, session: RunSession) -> None:
        """Say a shift that has just been made; called at every frame."""
        latest = session.book.resynced
        known = self._told[1] if self._told[0] is session else latest
        self._told = (session, latest)
        if latest is not None and latest is not known:
            back = self._keys["back"]
            words = f"by {seconds_moved(latest.shift_s)}, to bar {latest.bar} / {latest.beat}"
            more = "" if latest.undone else f" · {back} {back} takes it back"
            self._words.say("the clock was moved", f"{words}{more}", 4.0)

    def tap(self, session: RunSession, _view: CallView) -> None:
        """On the downbeat: the clock goes to the nearest one, by more than a beat only at a second press."""
        found = tap_shift(session.book, session.now_ns())
        far = found is not None and abs(found[0]) > found[1]
        if found is not None and far and not self._words.twice("tap", "far"):
            words = f"by more than a beat: {seconds_moved(found[0])}"
            self._words.say(f"{self._keys['tap']} again, on a downbeat, to move the clock", words, 3.0)
            return
        session.send(c.Resync(downbeat=True))

    def bar(self, session: RunSession, _view: CallView) -> None:
        """Say which bar this is."""
        hint = "such as 33, or 33 3 for its third beat; press Enter on it"
        self._words.ask("This is bar …", _this_bar(session), hint)

    def unheld(self, session: RunSession, view: CallView) -> None:
        """Go on as if never held."""
        if view.phase != "held":
            self._words.say("never held", "The show is not on hold", 2.0, "quiet")
            return
        session.send(c.Resume(as_if=True))

    def hold(self, session: RunSession, view: CallView) -> None:
        """Held at once; the same key goes on. Why can be said while everything stands still."""
        session.send(c.Resume() if view.phase == "held" else c.Hold(reason=""))

    def why(self, session: RunSession, view: CallView) -> None:
        """Say why the show is held."""
        if view.phase == "held":
            hint = f"a word or two; then {self._keys['hold']} resumes"
            self._words.ask("On hold. The reason?", _reason(session), hint)
        else:
            words = f"{self._keys['hold']} holds it first; then a reason can be given"
            self._words.say("the show is not on hold", words, 3.0, "quiet")

    def follow(self, session: RunSession, _view: CallView) -> None:
        """Let timecode lead, or go where it has jumped."""
        if session.book.state.lead == "asks":
            self._lead(session, "going where timecode has jumped", c.TimecodeAnswer(take=True))
        else:
            self._lead(session, "timecode leads the clock", c.Follow(on=True))

    def hand(self, session: RunSession, _view: CallView) -> None:
        """Take the clock over by hand, or stay where it is."""
        if session.book.state.lead == "asks":
            self._lead(session, "staying: the jump is not followed", c.TimecodeAnswer(take=False))
        else:
            self._lead(session, "the clock by hand, without timecode", c.Follow(on=False))

    def _lead(self, session: RunSession, words: str, given: c.Command) -> None:
        if session.book.compiled.timecode is None:
            self._words.say("timecode", "No timecode comes in to this show", 2.0, "quiet")
        elif self._words.twice("lead", words):
            session.send(given)
        else:
            self._words.say("press again for", words, 3.0)


def _this_bar(session: RunSession) -> Done:
    def done(text: str) -> str | None:
        parts = text.replace("/", " ").split()
        if not 1 <= len(parts) <= 2 or not all(re.fullmatch("[0-9]{1,4}", part) for part in parts):
            return "type a bar such as 33, or bar and beat such as 33 3"
        bar, beat = int(parts[0]), int(parts[1]) if len(parts) > 1 else 1
        session.send(c.Resync(bar=bar, beat=beat))
        return None

    return done


def _reason(session: RunSession) -> Done:
    def done(text: str) -> str | None:
        if text and session.book.state.phase == "held":
            session.send(c.Hold(reason=text))
        return None

    return done
