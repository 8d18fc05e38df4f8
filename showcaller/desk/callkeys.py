"""What a key does while a run is on: the guard first, then a command to the engine, or a question."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.finding import addressed
from showcaller.calling.guarding import jumped_last
from showcaller.calling.keys import Guard
from showcaller.calling.taking_back import last_act, not_acknowledged
from showcaller.calling.wording import span
from showcaller.desk.ask import Ask, Done
from showcaller.desk.callwords import CallWords
from showcaller.desk.clearkeys import clearance_key
from showcaller.desk.clockkeys import ClockKeys
from showcaller.desk.cuekeys import CueKeys
from showcaller.desk.delaykeys import DelayKeys
from showcaller.desk.deskkeys import DeskKeys
from showcaller.desk.formkeys import FormKeys
from showcaller.desk.gokeys import GoKeys
from showcaller.desk.incidentkeys import IncidentKeys
from showcaller.desk.keys import Keys
from showcaller.desk.loopkeys import LoopKeys
from showcaller.desk.machinekeys import MachineKeys
from showcaller.desk.momentkeys import MomentKeys
from showcaller.desk.nightkeys import NightKeys
from showcaller.desk.pagekeys import PageKeys
from showcaller.desk.told import Prompted
from showcaller.desk.walkkeys import WalkKeys
from showcaller.run import commands as c

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession

SAY_EARLY_S = 15.0
"""So is a standby."""

CALLED_LATELY_S = 10.0
"""So soon after a line another one may be the same press of a trembling hand."""


class CallKeys:
    """Turns actions into commands. ``ask`` opens the prompt; ``asked`` is what the line's place says."""

    def __init__(self, ask: Ask, keys: Keys) -> None:
        self._ask = ask
        self._keys = keys
        self._guard = Guard()
        self._words = CallWords(ask, self._guard)
        self._night = NightKeys(self._words, keys)
        self._cue_to_cue = CueKeys(self._words)
        self._walking = WalkKeys(self._words)
        self._delays = DelayKeys(self._words, keys)
        self._incidents = IncidentKeys(self._words, keys)
        self.loops = LoopKeys(self._words, keys)
        self._clock = ClockKeys(self._words, keys)
        self._moments = MomentKeys(self._words, keys)
        self._form = FormKeys(self._words, keys)
        self.desks = DeskKeys(self._words, keys)
        self._machines = MachineKeys(self._words, keys)
        self.reading = PageKeys(self._words, keys)
        self._goes = GoKeys(self._words, keys, self._guard)
        self._called_s = -1e9
        self._standing: Prompted | None = None

    def asked(self) -> Prompted | None:
        """What stands in the line's place just now, if anything."""
        words = self._words.now()
        if words is None:
            self._goes.disarm()
        return words or self._standing

    def banner(self, session: RunSession | None) -> str:
        """What stands over the box: a loop of a rehearsal, or what of the song is repeated or cut; an open
        page."""
        form = self.loops.standing() or self._form.banner(session)
        parts = (
            form,
            self.reading.banner(session),
            self._delays.banner(session),
            self._incidents.banner(session),
            self._machines.banner(session),
        )
        return " · ".join(words for words in parts if words)

    def look(self, session: RunSession, view: CallView) -> None:
        """What has to be looked after at every frame."""
        self.loops.look(session)
        self._clock.look(session)
        self.desks.look(session)
        self._incidents.look(session)
        self.reading.session = session
        self._machines.look(session)
        self._standing = self._machines.standing(session) or self.desks.standing(session)
        self._goes.look(session, view)
        if session.take_unheard():
            words = f"If it is not listed under Called, press {self._keys['go']} again"
            self._words.say("go not confirmed", words, 8.0, "missed")

    def forget(self, if_asked: bool = False) -> None:
        """Drop whatever waits for a second key; for when the window, or a field that opens, takes the
        keyboard. ``if_asked``: only if something does wait, so that other words stay."""
        if if_asked and self._guard.armed is None:
            return
        self._words.clear()
        self._goes.disarm()
        self._guard.forget()

    def act(self, action: str, session: RunSession, view: CallView, repeated: bool) -> None:
        """Carry out an action of the keys table."""
        if not self.desks.may(session, action):
            return
        handler = getattr(self, f"_{action}", None)
        parts = (
            self._goes,
            self._cue_to_cue,
            self._night,
            self._walking,
            self._incidents,
            self._delays,
            self.loops,
            self._clock,
            self._form,
            self._moments,
            self.desks,
            self.reading,
            self._machines,
        )
        night = next((getattr(part, action) for part in parts if hasattr(part, action)), None)
        if handler is not None:
            handler(session, view, repeated)
        elif night is not None and not repeated:
            night(session, view)
        if action not in ("confirm", "go"):
            self._goes.disarm()

    def say(self, heading: str, words: str, seconds: float = 3.0) -> None:
        """A word to the person at the keys that is no answer of the run's."""
        self._words.say(heading, words, seconds, "quiet")

    def _say(self, heading: str, words: str, seconds: float, tone: str = "caution") -> None:
        self._words.say(heading, words, seconds, tone)

    def _standby(self, session: RunSession, view: CallView, repeated: bool) -> None:
        if not self._guard.say(repeated, time.monotonic()):
            if not repeated and view.next_say is not None:
                words = f"{view.next_say.text}: {self._keys['standby']} again calls it"
                self._say("that was one press", words, 2.0, "quiet")
            return
        say, missing = view.next_say, not_acknowledged(session.book)
        early = say is not None and say.in_s > SAY_EARLY_S and view.phase in ("running", "held")
        shown = say is not None and view.phase == "running" and view.now is not None and view.now.id == say.id
        if shown and jumped_last(session.book):  # whoever has just gone to a place means it
            early = early and time.monotonic() - self._called_s < CALLED_LATELY_S
        if missing is not None and (say is None or early):  # called again aloud; it counts once
            self._say(f"again · not acknowledged: {', '.join(missing[1])}", missing[0], 4.0)
            return
        if say is None:
            return
        # A second S on one standby must not say the next one.
        if early and not self._words.twice("standby", say.id):
            self._say(f"{self._keys['standby']} again to call it {span(say.in_s)} early", say.text, 3.0)
            return
        self._called_s = time.monotonic()
        self._words.clear()  # also what asked for a go without it
        self._guard.forget()
        session.send(c.Standby(line=say.id, cues=tuple(say.cues), what=say.what))

    def _answer(self, session: RunSession, _view: CallView, repeated: bool) -> None:
        if not repeated:
            session.send(c.Answer())

    def _note(self, session: RunSession, _view: CallView, repeated: bool) -> None:
        if not repeated:
            self._ask(
                "Note",
                _noted(session),
                "Enter keeps it with this moment; 'video: …' is for Video alone; Escape drops it",
            )

    def _back(self, session: RunSession, _view: CallView, repeated: bool) -> None:
        if repeated:
            return
        act = last_act(session.book)
        if act is not None:
            if self._words.twice("undo", act.words):
                session.send(act.undo)
            else:
                self._say("press again to take back", act.words, 3.0)
            return
        goes = [s for s in session.book.said if s.go]
        if not goes:
            self._say("take back", "No go has been given yet", 2.0, "quiet")
            return
        about = goes[-1].text
        if self._guard.twice("back", f"{about}{len(session.book.records)}", repeated, time.monotonic()):
            self._words.clear()
            session.send(c.Back())
        elif not repeated:
            self._say("press again to take back", about, 3.0)

    def _skip(self, session: RunSession, view: CallView, repeated: bool) -> None:
        if view.next_go is None:
            return
        if self._guard.twice("skip", view.next_go.id, repeated, time.monotonic()):
            self._words.clear()
            session.send(c.Skip(view.next_go.id))
        elif not repeated:
            self._say("press again to skip", view.next_go.name, 3.0)

    def _mute(self, session: RunSession, _view: CallView, repeated: bool) -> None:
        if repeated:
            return
        if session.book.state.all_muted:  # going live takes the same typed word as opening a live run
            hint = "type LIVE: from then on every cue sends to every device; Escape stays muted"
            self._ask("This rehearsal is muted. Send to the devices?", _go_live(session), hint)
        elif self._words.twice("mute", "all"):
            session.send(c.Mute(muted=True))
        else:
            self._say("press again for", "All outputs muted", 3.0)

    def clearance(self, number: int, session: RunSession, repeated: bool) -> None:
        """The clearance of a digit key: withdrawn at once, given by two presses."""
        if not repeated:
            clearance_key(self._words, self._keys[f"clear{number}"], number, session)


def _go_live(session: RunSession) -> Done:
    def done(text: str) -> str | None:
        if text.upper() != "LIVE":
            return "type LIVE, or press Escape to stay muted"
        session.send(c.Mute(muted=False))
        return None

    return done


def _noted(session: RunSession) -> Done:
    pressed_ns = session.now_ns()

    def done(text: str) -> str | None:
        if text:
            to, words = addressed(session.book, text)
            session.send(c.WriteNote(text=words, to=to, ago_s=(session.now_ns() - pressed_ns) / 1e9))
        return None

    return done
