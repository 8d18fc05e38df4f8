"""The key of a walk-on: the next step has happened; over a leg that is not clear it asks before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.desk.ask import Done
from showcaller.desk.callwords import CallWords
from showcaller.run import commands as c
from showcaller.run.interventions import open_on_leg, walk_steps

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class WalkKeys:
    """Marks steps in their order."""

    def __init__(self, words: CallWords) -> None:
        self._words = words

    def walk(self, session: RunSession, _view: CallView) -> None:
        """The next step of the walk-on that is on or comes next has happened."""
        compiled, state = session.book.compiled, session.book.state
        for i in range(state.item, len(compiled.items)):
            item = compiled.plan.items[i].item
            steps = [s for s in walk_steps(compiled, item.id) if (item.id, s) not in state.walked]
            if steps:
                self._step(session, item.id, item.name, steps[0])
                return
        self._words.say("walk-on", "No walk-on to come", 2.0, "quiet")

    def _step(self, session: RunSession, item: str, name: str, step: str) -> None:
        """Mark a step; over a leg that is not clear only with a name and a reason, asked for before it."""
        missing = open_on_leg(session.book.compiled, session.book.state, item, step, session.now_ns())
        if not missing:
            session.send(c.MarkWalkStep(item=item, step=step, checked=True))
            self._words.say(name, f"marked: {step}", 1.5, "accent")
            return
        # That they were stopped here is in the log before anybody answers, and stays there if nobody does.
        session.send(
            c.StopWalk(
                item=item, step=step, by=session.book.state.caller if session.has_calls else session.name
            )
        )

        def reason(by: str) -> Done:
            def done(text: str) -> str | None:
                if not text:
                    return "type the reason, or press Escape: it goes into the log"
                session.send(c.MarkWalkStep(item=item, step=step, checked=True, by=by, reason=text))
                return None

            return done

        def who(text: str) -> str | None:
            if not text:
                return "type the name of who is entitled to let them walk, or press Escape: they wait"
            self._words.ask(
                f"{text} lets them walk '{step}'. Why?", reason(text), "it is logged with the incidents"
            )
            return None

        hint = "Escape: they wait. Or type who is entitled to let them walk; it is logged with the incidents"
        self._words.ask(f"'{step}' is NOT CLEAR. {'; '.join(missing)}", who, hint)
