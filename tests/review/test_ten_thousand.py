"""Ten thousand random runs: the waterfall's parts add up, to the nanosecond, whatever the night was like."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from night import DOORS, NS, PLAN
from test_waterfall import ACTS, check_owners

from showcaller.review.timeline import make_timeline
from showcaller.review.waterfall import waterfall
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record

ITEMS = [(p.item.id, round(p.item.length_s * NS)) for p in PLAN.items]


def random_log(seed: int) -> list[Record]:
    """A log such as the state machine writes, made without it: items, holds, jumps, extras."""
    draw = random.Random(seed)
    records: list[Record] = []
    t_ns = draw.randrange(10**12)

    def add(*events: ev.Event) -> None:
        nonlocal t_ns
        records.append(Record(len(records) + 1, t_ns, DOORS + t_ns, c.Tick(), events))
        t_ns += int(draw.expovariate(1 / 30) * NS) + draw.randrange(3)

    add(ev.RunStarted(show="s", digest="", muted=False, caller="Ada", simulated=None))
    on: str | None = None
    held = False
    for name, _ in ITEMS:
        if draw.random() < 0.12:
            add(ev.ItemSkipped(item=name))
            continue
        ended = [ev.ItemEnded(item=on, length_s=1.0, planned_s=1.0)] if on else []
        at_s = draw.choice([0.0, 0.0, 0.0, round(draw.uniform(0, 90), 6)])
        jumped = [ev.Jumped(from_item=name, to_item=name, cue=None)] if at_s else []
        add(*ended, *jumped, ev.ItemStarted(item=name, at_s=at_s, planned_start_s=0.0))
        on = name
        for _ in range(draw.randrange(5)):
            what = draw.choice(["hold", "fired", "extra", "reason", "end item"])
            if what == "hold":
                begins = ev.Held(reason=draw.choice(["", "mic", "rain"]), item=on, at_s=0)
                add(ev.Resumed(held_s=0, reason="") if held else begins)
                held = not held
            elif what == "reason" and held:
                add(ev.HoldReason(reason="late"))
            elif what == "fired":
                add(ev.Fired(item=on or "", cue="x", go=None, planned_s=1.0, actual_s=1.0, by="go"))
            elif what == "end item" and on and not held:
                add(ev.ItemEnded(item=on, length_s=1.0, planned_s=1.0))
                on = None
            elif what == "extra" and on is None:
                add(ev.UnplannedStarted(name="encore talk"))
                add(ev.UnplannedEnded(name="encore talk", length_s=1.0))
        if on is None and draw.random() < 0.5:
            on = None
    if draw.random() < 0.9:
        add(ev.RunEnded(why="curtain", show_s=1.0))
        add(ev.NoteTaken(text="x", to="", item=name, at_s=None, bar=None, beat=None, cue=None))
    return records


def test_the_parts_of_ten_thousand_runs_add_up() -> None:
    counted = 0
    for seed in range(10_000):
        records = random_log(seed)
        if not any(isinstance(e, ev.ItemStarted) for r in records for e in r.events):
            continue
        begun = next(r for r in records for e in r.events if isinstance(e, ev.ItemStarted))
        planned = begun.wall_ns - random.Random(seed).randrange(-(10**12), 10**12)
        fall = waterfall(PLAN, records, planned_start_wall_ns=planned)
        last = next((r for r in records for e in r.events if isinstance(e, ev.RunEnded)), records[-1])
        actual_end = begun.wall_ns + last.t_ns - begun.t_ns
        planned_end = planned + sum(
            round(b * NS) - round(a * NS)
            for a, b in zip(PLAN.starts_s, (*PLAN.starts_s[1:], PLAN.length_s), strict=True)
        )
        assert sum(part.ns for part in fall.parts) == actual_end - planned_end
        assert sum(bar.ns for bar in fall.bars()) == actual_end - planned_end
        timeline = make_timeline(records)
        owned = sum(v.ran_ns for v in timeline.visits) + sum(h.ns for h in timeline.holds) + timeline.gap_ns
        assert owned + sum(ns for _, ns in timeline.unplanned) == last.t_ns - begun.t_ns
        counted += 1
    assert counted > 9_900


@pytest.mark.long
@given(
    acts=ACTS,
    start_ns=st.integers(0, 200 * NS),
    late_ns=st.integers(-3600 * NS, 3600 * NS),
    ended=st.booleans(),
)
@settings(max_examples=10_000, deadline=None)
@pytest.mark.timeout(1800)
def test_ten_thousand_runs_of_the_state_machine(acts, start_ns, late_ns, ended) -> None:
    """The same judged by the state machine's own clocks; too long for every day."""
    check_owners(acts, start_ns, late_ns, ended)
