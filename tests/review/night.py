"""Nights to review: a small show, and runs of it made by the engine's own state machine."""

from collections.abc import Sequence
from typing import Any

from showcaller.model import Show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import CompiledShow, compile_show
from showcaller.run.machine import first_state, step
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, compile_plan

NS = 1_000_000_000
DOORS = 1_760_000_000 * NS
"""Unix time at which the run's clock shows 0."""


def _cue(cue: str, number: float, at_s: float, **more: Any) -> dict[str, Any]:
    anchor = {"at": "time", "seconds": at_s}
    return {"id": cue, "department": "lights", "number": number, "label": cue, "anchor": anchor, **more}


SHOW = Show.model_validate(
    {
        "format": "showcaller/show", "version": 1, "id": "pier", "name": "Pier", "act": "Wren Halloway",
        "venue": "Kestrel Dock Arena", "starts_at": "20:45",
        "departments": [
            {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"},
            {"id": "moves", "name": "Moves", "letters": "MV", "shape": "bar", "hue": "pink"},
        ],
        "clearances": [{"kind": "yes", "id": "path", "name": "Path clear", "position": "Deck chief"}],
        "items": [
            {
                "kind": "song", "id": "song", "name": "Song", "length_s": 200,
                "cues": [
                    _cue("s1", 1, 0), _cue("s2", 2, 60),
                    _cue("s2f", 2.5, 0, anchor={"at": "after", "cue": "s2", "delay_s": 4}, fires="by itself"),
                    _cue("s3", 3, 120, fires="by itself"), _cue("s4", 4, 180),
                ],
            },
            {
                "kind": "talk", "id": "talk", "name": "Talk: the lamp", "length_s": 100.1,
                "cues": [
                    _cue("t1", 5, 0),
                    _cue("t2", 6, 0, anchor={"at": "visual", "sees": "Wren nods", "expect_s": 90}),
                ],
            },
            {
                "kind": "walk-on", "id": "walk", "name": "Walk", "length_s": "100/3",
                "cues": [_cue("w1", 1, 10, department="moves", needs=["path"])],
            },
            {"kind": "changeover", "id": "change", "name": "Changeover", "length_s": 120, "cues": []},
            {"kind": "song", "id": "last", "name": "Last", "length_s": 240, "cues": [_cue("l1", 7, 200)]},
        ],
    }
)  # fmt: skip
PLAN: Plan = compile_plan(SHOW)
PROGRAM = compile_show(PLAN)


class Night:
    """One run; inputs at instants of the run's clock, in ns, that never go back."""

    def __init__(self, compiled: CompiledShow = PROGRAM) -> None:
        self.compiled = compiled
        self.state = first_state(compiled)
        self.records: list[Record] = []
        self.next_ns: int | None = None

    def at(self, t_ns: int, *inputs: c.Input) -> Sequence[ev.Event]:
        """Give inputs at ``t_ns``, after everything that fires by itself until then; the last's events."""
        while self.next_ns is not None and self.next_ns <= t_ns:
            self._take(self.next_ns, c.Tick())
        events: Sequence[ev.Event] = ()
        for given in inputs:
            events = self._take(t_ns, given)
        return events

    def seconds(self, t_s: float, *inputs: c.Input) -> Sequence[ev.Event]:
        """The same in seconds."""
        return self.at(round(t_s * NS), *inputs)

    def next_go(self) -> str:
        """The id of the next go; of none past the end."""
        place = self.state.place
        items = self.compiled.items
        return items[place.item].go_ids[place.go] if place.item < len(items) else "none"

    def go(self, t_s: float) -> Sequence[ev.Event]:
        """The next go, at ``t_s``."""
        self.at(round(t_s * NS))
        return self.seconds(t_s, c.Go(self.next_go()))

    def _take(self, t_ns: int, given: c.Input) -> Sequence[ev.Event]:
        self.state, out = step(self.compiled, self.state, given, t_ns)
        self.next_ns = out.next_ns
        if out.events:
            body = Record(len(self.records) + 1, t_ns, DOORS + t_ns, given, tuple(out.events))
            self.records.append(Record.from_bytes(body.to_bytes()))  # as it comes out of a journal
        return out.events


def plain_night() -> Night:
    """A night with a bit of everything, used where the figures can be worked out by hand.

    Begins 38 s late (planned at 10 s on the run's clock). Song 200 → 190; talk 100.1 → 174.1; walk
    33⅓ → 64⅓, its move refused once and 7.4 s late; in it a hold of 22 s for the microphone; the changeover
    is left out; the last song 240 → 250.
    """
    night = Night()
    night.seconds(1, c.Start("Ada"))
    night.go(48)  # song starts, s1
    night.go(108.2)  # s2, 0.2 s late
    night.go(227.9)  # s4, 0.1 s early
    night.go(238)  # talk
    night.go(320)  # t2, seen
    night.go(412.1)  # walk
    night.go(427.1)  # w1 refused: path not clear
    night.seconds(428, c.Clear("path", True, None, "Deck"))
    night.go(429.5)  # w1, 7.4 s late
    night.seconds(440, c.Hold("mic"))
    night.seconds(462, c.Resume())
    night.at(498 * NS + 433_333_333, c.Skip("change:start"))
    night.at(498 * NS + 433_333_333, c.Go("last:start"))
    night.go(700)
    night.at(748 * NS + 433_333_333, c.End("curtain"))
    return night
