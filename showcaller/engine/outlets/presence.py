"""Whether a device is there: what is said when it goes and comes back, and when to try for it again. Pure."""

from dataclasses import dataclass

from showcaller.run import events as ev

FIRST_WAIT_S = 0.5
LONGEST_WAIT_S = 8.0
"""A device that is switched on again is in use within so long, without a cue having to ask for it."""

NUDGE_S = 1.0
"""A cue for a device that is away brings the next attempt forward, but not nearer than this to the last."""

HELD_S = 2.0
"""A device that was away counts as back once it has stayed so long; one that goes on coming and going must
stay as long as the wait has grown to. (Common practice, no source.)"""


@dataclass(slots=True)
class Presence:
    """One outlet's coming and going. Times are monotonic seconds; not safe for threads.

    Every method returns the event to report, or None. One ``closed`` is said when the device goes, one
    ``open`` when it is back: with how long it was away, how many attempts it took and how many messages did
    not leave meanwhile. Whatever happens in between says nothing.
    """

    outlet: str
    wait_s: float = FIRST_WAIT_S
    next_try_s: float = 0.0
    unsent: int = 0
    _here: bool = False
    _tried_s: float = -1e9
    _tries: int = 0
    _opened_s: float = 0.0
    _away_since_s: float | None = None
    _why: str = ""

    @property
    def here(self) -> bool:
        """Whether it is open as far as is known."""
        return self._here

    def due(self, now_s: float) -> bool:
        """Whether to try now."""
        return not self._here and now_s >= self.next_try_s

    def nudge(self, now_s: float) -> None:
        """Somebody wants it: try soon."""
        if not self._here:
            self.next_try_s = min(self.next_try_s, max(now_s, self._tried_s + NUDGE_S))

    def failed(self, why: str, now_s: float) -> ev.OutletState | None:
        """An attempt came to nothing."""
        self._again(now_s)
        return self._gone(why, now_s)

    def opened(self, now_s: float) -> ev.OutletState | None:
        """An attempt succeeded. Said at once unless the device had been away."""
        self._here, self._tried_s, self._opened_s = True, now_s, now_s
        self._tries += 1
        if self._away_since_s is not None:
            return None
        return self._event("open", "")

    def lost(self, why: str, now_s: float) -> ev.OutletState | None:
        """It was open and is not any more."""
        if now_s - self._opened_s >= max(HELD_S, self.wait_s):
            self.wait_s = FIRST_WAIT_S
        self._again(now_s)
        return self._gone(why, now_s)

    def look(self, now_s: float) -> ev.OutletState | None:
        """Called now and then: says that it is back once it has stayed."""
        if not self._here or self._away_since_s is None or now_s < self.settled_s:
            return None
        away_s = self._opened_s - self._away_since_s
        words = f"back after {away_s:.0f} s; {self._tries} attempts, {self.unsent} messages were not sent"
        event = ev.OutletState(
            outlet=self.outlet,
            state="open",
            why=f"{words} (last: {self._why})" if self._why else words,
            away_s=round(away_s, 1),
            attempts=self._tries,
            unsent=self.unsent,
        )
        self._away_since_s, self.unsent, self._tries, self.wait_s = None, 0, 0, FIRST_WAIT_S
        return event

    @property
    def settled_s(self) -> float:
        """When a device that has come back counts as back."""
        return self._opened_s + max(HELD_S, min(self.wait_s, LONGEST_WAIT_S))

    def _again(self, now_s: float) -> None:
        self._tries += not self._here
        self._here, self._tried_s = False, now_s
        self.next_try_s = now_s + self.wait_s
        self.wait_s = min(LONGEST_WAIT_S, self.wait_s * 2)

    def _gone(self, why: str, now_s: float) -> ev.OutletState | None:
        if self._away_since_s is not None:
            self._why = why
            return None
        self._away_since_s, self._tries, self._why = now_s, 0, ""
        return self._event("closed", why)

    def _event(self, state: str, why: str) -> ev.OutletState:
        return ev.OutletState(outlet=self.outlet, state=state, why=why)
