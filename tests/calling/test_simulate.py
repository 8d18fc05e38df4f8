"""The sample show called by a simulated caller: repeatable, complete, and as late as people are."""

from itertools import pairwise
from pathlib import Path
from statistics import mean, median, stdev

import pytest
from small_shows import cue as make_cue
from small_shows import follow, item, show

from showcaller.calling.simulate import simulate
from showcaller.model import parse_show
from showcaller.run import events as ev
from showcaller.run.compiled import NS, compile_show
from showcaller.run.machine import first_state, step
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan

WALL0_NS = 1_760_000_000 * NS


class Evening:
    """A show made ready, and its simulated runs."""

    def __init__(self, made):
        self.plan = compile_plan(made)
        self.compiled = compile_show(self.plan)
        self.sheets = compile_show_calls(self.plan)

    def run(self, seed):
        return simulate(self.compiled, self.sheets, seed, "digest", WALL0_NS)

    def go_lateness(self, records):
        """Seconds that each go with a firm instant was late, in items begun at their start."""
        book = RunBook(self.compiled, self.sheets)
        book.take(records)
        return [said.late_s for said in book.said if said.late_s is not None]


def events(records, *kinds):
    return [e for r in records for e in r.events if e.kind in kinds]


@pytest.fixture(scope="module")
def sample():
    path = Path(__file__).parents[2] / "sample_shows" / "breakwater.json"
    return Evening(parse_show(path.read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def runs(sample):
    return [sample.run(seed) for seed in range(4)]


def test_the_same_seed_gives_the_same_run_to_the_nanosecond(sample, runs):
    assert sample.run(2) == runs[2]


def test_another_seed_gives_another_run(runs):
    starts = {tuple(r.t_ns for r in records) for records in runs}
    assert len(starts) == len(runs)


def test_every_cue_of_the_sample_show_fires_once_or_is_named(sample, runs):
    cues = {cue.id for cue in sample.plan.show.all_cues()}
    for records in runs:
        named = [e.cue for e in events(records, "fired", "skipped", "missed")]
        assert sorted(named) == sorted(cues)


def test_the_records_are_those_of_an_engine(sample, runs):
    for records in runs:
        assert [r.seq for r in records] == list(range(1, len(records) + 1))
        assert all(a.t_ns <= b.t_ns for a, b in pairwise(records))
        assert all(r.wall_ns == WALL0_NS + r.t_ns for r in records)
        state = first_state(sample.compiled)
        for record in records:
            state, out = step(sample.compiled, state, record.input, record.t_ns)
            assert len(out.events) == len(record.events)
        assert state.phase == "ended"
        opened = records[0].events[0]
        assert (opened.caller, opened.digest) == ("simulated caller", "digest")
    assert [records[0].events[0].simulated for records in runs] == [0, 1, 2, 3]


def test_a_good_caller_is_refused_nothing_and_says_every_standby_before_its_go(runs):
    for records in runs:
        assert events(records, "refused") == []
        said = set()
        for event in events(records, "said", "fired"):
            if isinstance(event, ev.LineSaid) and event.what == "standby":
                said |= set(event.cues)
        called = {e.cue for e in events(records, "fired") if e.by == "go"}
        assert len(called & said) / len(called) > 0.98


def test_hazards_are_cleared_by_their_own_positions(sample, runs):
    for records in runs:
        positions = {c.id: c.position for c in sample.plan.show.clearances}
        cleared = [e for e in events(records, "cleared") if e.ok]
        assert cleared
        assert all(e.by == positions[e.clearance] for e in cleared)


def test_goes_are_late_as_a_practised_callers_are(sample, runs):
    """Spread about 0.1 s with a rare lapse of a second (common practice, no source)."""
    late = [s for records in runs for s in sample.go_lateness(records)]
    assert len(late) > 300
    assert median(late) == pytest.approx(0.04, abs=0.03)
    usual = [s for s in late if abs(s) < 0.5]
    assert stdev(usual) == pytest.approx(0.09, abs=0.03)
    assert mean(usual) == pytest.approx(0.04, abs=0.03)
    assert 0.0 < 1 - len(usual) / len(late) < 0.08


def test_a_show_lasts_about_as_long_as_planned(sample, runs):
    planned_s = float(sample.plan.length_s)
    for records in runs:
        shown_s = events(records, "run_ended")[0].show_s
        assert abs(shown_s - planned_s) < 0.1 * planned_s


def test_a_show_with_a_long_quiet_stretch_is_called_to_its_end():
    cues = [make_cue("a", "1", 0), make_cue("b", "2", 900), follow("x", "3", "b", 5)]
    evening = Evening(show([item("pause", 1200, []), item("s", 1000, cues)]))
    records = evening.run(5)
    assert [e.cue for e in events(records, "fired")] == ["a", "b", "x"]
    assert [e.item for e in events(records, "item_ended")] == ["pause", "s"]
