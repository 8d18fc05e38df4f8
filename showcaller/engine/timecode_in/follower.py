"""What is heard, put through the chase; and the words on it that the state machine is given.

The chase says how the code behaves; where it is, is said by ``zero_ns``: the instant at which it showed, or
would have shown, midnight. That is the middle of the last few frames' (arrival less position), so that one
frame that comes late moves nothing. The machine is given a word only when the mode changes or the place has
moved by half a frame.
"""

from collections import deque
from statistics import median_low

from showcaller.model import Chasing
from showcaller.run import commands as c
from showcaller.run.compiled import CompiledShow, to_ns
from showcaller.run.following import nearest, settled
from showcaller.run.state import RunState
from showcaller.timing import chase
from showcaller.values import replace

_LAST = 8
"""Arrivals whose middle is taken."""
_FEW = 3


class TimecodeFollower:
    """Follows one stream of code; knows no port and no clock. All instants are of the run's clock, in ns."""

    def __init__(self, compiled: CompiledShow, chasing: Chasing) -> None:
        assert compiled.timecode is not None
        self._timecode = compiled.timecode
        usual = chase.ChaseSettings(lock_frames=chasing.lock_frames)
        # Frames come one by one: less than a few of them is no drop-out, however short the freewheel.
        freewheel_ns = max(to_ns(chasing.freewheel_s), _FEW * self._timecode.frame_ns)
        self._settings = replace(
            usual,
            freewheel_ns=freewheel_ns,
            dropout_ns=min(usual.dropout_ns, freewheel_ns),
            # Code may go anywhere between songs; whether a jump is far is the song's clock's affair.
            near_ns=2 * self._timecode.day_ns,
        )
        self._state = chase.ChaseState()
        self._zeros: deque[int] = deque(maxlen=_LAST)
        self._last: tuple[int, int] = (0, 0)

    @property
    def mode(self) -> str:
        """How the code behaves."""
        return self._state.mode

    def hear(
        self,
        compiled: CompiledShow,
        state: RunState,
        position_ns: int,
        at_ns: int,
        now_ns: int,
        whole: bool = True,
    ) -> c.Timecode | None:
        """The code was at ``position_ns`` at ``at_ns``; what the machine is to be told, if anything."""
        last_ns, last_at_ns = self._last
        at_ns = max(at_ns, last_at_ns)
        position_ns = nearest(position_ns, last_ns, self._timecode.day_ns)
        self._last = (position_ns, at_ns)
        zero_ns = at_ns - position_ns
        if self._zeros and abs(zero_ns - median_low(self._zeros)) > self._settings.tolerance_ns:
            self._zeros.clear()
        self._zeros.append(zero_ns)
        if not whole:
            return None
        return self._step(compiled, state, chase.TimecodeAt(position_ns), at_ns, now_ns)

    def pass_time(self, compiled: CompiledShow, state: RunState, now_ns: int) -> c.Timecode | None:
        """What silence until ``now_ns`` means."""
        deadline_ns = self.deadline_ns
        if deadline_ns is None or now_ns < deadline_ns:
            return None
        return self._step(compiled, state, chase.Tick(), now_ns, now_ns)

    @property
    def deadline_ns(self) -> int | None:
        """Until when silence means nothing new."""
        if self._state.reference is None:
            return None
        after = {"locked": self._settings.dropout_ns, "freewheeling": self._settings.freewheel_ns}
        wait_ns = after.get(self._state.mode)
        return None if wait_ns is None else self._state.reference[1] + wait_ns + 1

    def _step(
        self, compiled: CompiledShow, state: RunState, given: chase.Input, at_ns: int, now_ns: int
    ) -> c.Timecode | None:
        self._state, out = chase.step(self._state, given, at_ns, (), self._settings)
        changed = [one for one in out if isinstance(one, chase.Changed)]
        mode, zero_ns = self._state.mode, state.timecode.zero_ns
        if changed:
            if mode == "locked":
                zero_ns = median_low(self._zeros)
            known = zero_ns if mode in ("locked", "freewheeling") else None
            return c.Timecode(mode, known, changed[-1].sentence)
        if mode != "locked":
            return None
        if zero_ns is None or 2 * abs(median_low(self._zeros) - zero_ns) >= self._timecode.frame_ns:
            return c.Timecode(mode, median_low(self._zeros), "the code's place has moved")
        if not settled(compiled, state, now_ns):
            return c.Timecode(mode, zero_ns, "the code has come to this song")
        return None
