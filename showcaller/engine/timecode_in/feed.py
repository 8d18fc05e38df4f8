"""Between the port's thread and the engine's: what was heard waits here until the loop takes it."""

from collections import deque
from collections.abc import Callable

from showcaller.engine.runner import Runner
from showcaller.engine.timecode_in.base import Heard, TimecodePort
from showcaller.engine.timecode_in.follower import TimecodeFollower
from showcaller.engine.timecode_in.opening import open_timecode_in
from showcaller.run import events as ev

_ROOM = 4096


class TimecodeFeed:
    """The timecode of a run. ``post`` may be called from any thread, the rest belongs to the loop's."""

    def __init__(self, runner: Runner, wake: Callable[[], None]) -> None:
        """Opens the port that the runner's show names; ``wake`` is called when something waits."""
        show = runner.compiled.plan.show
        assert show.timecode_in is not None
        self._runner, self._wake = runner, wake
        self._heard: deque[Heard] = deque(maxlen=_ROOM)
        self._follower = TimecodeFollower(runner.compiled, show.timecode_in.chase)
        self._port: TimecodePort | None = None
        if runner.clock.speed != 1:
            why = "timecode runs in real time, so a faster rehearsal does not follow it"
            runner.report(ev.TimecodePortState(state="closed", why=why))
            return
        self._port = open_timecode_in(show.timecode_in, show.timecode_rate, self.post, runner.report)

    def post(self, heard: Heard) -> None:
        """Something was heard."""
        self._heard.append(heard)
        if heard.whole:
            self._wake()

    def take(self) -> None:
        """Tell the machine what there is to tell."""
        runner = self._runner
        while self._heard:
            one = self._heard.popleft()
            at_ns, now_ns = runner.clock.at(one.at_ns), runner.clock.now_ns()
            compiled, state = runner.compiled, runner.state
            word = self._follower.hear(compiled, state, one.position_ns, at_ns, now_ns, one.whole)
            if word is not None and runner.state.phase != "ended":
                runner.take(word)
        word = self._follower.pass_time(runner.compiled, runner.state, runner.clock.now_ns())
        if word is not None and runner.state.phase != "ended":
            runner.take(word)

    @property
    def deadline_ns(self) -> int | None:
        """When the loop must come by again, on the run's clock, even if nothing is heard."""
        return self._follower.deadline_ns

    def close(self) -> None:
        """Let go of the port."""
        if self._port is not None:
            self._port.close()
