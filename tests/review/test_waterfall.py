"""The waterfall adds up, whatever happened, and names the right owners."""

from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from night import DOORS, NS, PLAN, Night, plain_night

from showcaller.review.errors import ReviewError
from showcaller.review.tables import item_table
from showcaller.review.timeline import make_timeline
from showcaller.review.waterfall import waterfall
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.timing.planned_start import planned_start_wall_ns
from showcaller.values import replace

PLANNED_NS = 693_433_333_333
"""200 + 100.1 + 33⅓ + 120 + 240 seconds."""


def test_a_night_worked_out_by_hand() -> None:
    fall = waterfall(PLAN, plain_night().records, planned_start_wall_ns=DOORS + 10 * NS)
    bars = {bar.label: bar.ns for bar in fall.bars()}
    assert bars == {
        "late start": 38 * NS,
        "songs": (-10 + 10) * NS,
        "talks": 74 * NS,
        "walk-ons": 31 * NS,  # 86⅓ s on, of them 22 held
        "hold: mic": 22 * NS,
        "cuts": -120 * NS,
    }
    assert [bar.label for bar in fall.bars()][:2] == ["late start", "songs"]
    songs = fall.bars()[1]
    assert [(p.item, p.ns // NS) for p in songs.parts] == [("song", -10), ("last", 10)]
    assert fall.planned_length_ns == PLANNED_NS
    assert fall.total_ns == sum(bars.values()) == 45 * NS
    assert fall.end_wall_ns - fall.planned_end_wall_ns == fall.total_ns
    assert fall.finished


def test_a_show_that_goes_to_plan_has_nothing_to_say() -> None:
    night = Night()
    night.seconds(1, c.Start("Ada"))
    start_s = 10
    for planned, start in zip(PLAN.items, PLAN.starts_s, strict=True):
        for go in planned.goes:
            if planned.item.id == "walk":
                night.at(round((start_s + start) * NS), c.Clear("path", True))
            night.at(round((start_s + start + go.at_s) * NS))
            night.at(round((start_s + start + go.at_s) * NS), c.Go(go.id))
    night.at(start_s * NS + PLANNED_NS, c.End())
    fall = waterfall(PLAN, night.records, planned_start_wall_ns=DOORS + start_s * NS)
    assert fall.bars() == ()
    assert fall.total_ns == 0
    assert all(row.over_s == 0 for row in item_table(PLAN, night.records) if row.item != "walk")


def test_a_start_taken_back_gives_its_time_to_what_went_on() -> None:
    night = Night()
    night.seconds(0, c.Start())
    night.go(10)
    night.seconds(150, c.Jump("song", "s4"))
    night.go(200)  # s4
    night.go(205)  # the talk, by mistake
    night.seconds(208, c.Hold("oops"))
    night.seconds(209, c.Resume())
    night.seconds(212, c.Back())
    night.go(220)  # the talk
    night.seconds(330, c.End())
    timeline = make_timeline(night.records)
    assert [(v.item, v.ran_ns // NS, v.held_ns // NS) for v in timeline.visits] == [
        ("song", 209, 1),
        ("talk", 110, 0),
    ]
    assert [(h.reason, h.item) for h in timeline.holds] == [("oops", "song")]
    ended = [e for r in night.records for e in r.events if isinstance(e, ev.ItemEnded) and e.item == "song"]
    assert ended[-1].length_s == 209  # the machine counts it the same


def test_what_was_jumped_over_or_played_again_is_told_apart() -> None:
    night = Night()
    night.seconds(0, c.Start())
    night.go(0)
    night.go(60)
    night.seconds(100, c.Jump("song", "s2"))
    night.go(103)  # s2 again: the clock picks up at 60
    night.seconds(150, c.Jump("last", "l1"))
    night.go(151)  # the clock picks up at 200
    night.seconds(191, c.End())
    parts = {(p.kind, p.item): p.ns // NS for p in waterfall(PLAN, night.records).parts}
    assert parts["item", "song"] == 60 + 47 - 200
    assert parts["place moved", "song"] == 100 - 60
    assert parts["item", "last"] == 0
    assert parts["place moved", "last"] == -200
    assert parts["gap", None] == 3 + 1
    assert parts["cut", "talk"] == -101  # −100.1 rounded down by //
    assert sum(p.ns for p in waterfall(PLAN, night.records).parts) == 191 * NS - PLANNED_NS


def test_a_run_that_broke_off_says_so() -> None:
    records = plain_night().records
    cut = [r for r in records if r.t_ns <= 450 * NS]
    fall = waterfall(PLAN, cut)
    assert not fall.finished
    assert {p.item for p in fall.parts if p.kind == "not reached"} == {"change", "last"}
    assert fall.actual_length_ns == (440 - 48) * NS
    assert fall.total_ns == fall.actual_length_ns - PLANNED_NS


def test_what_cannot_be_reviewed_is_said() -> None:
    night = Night()
    night.seconds(0, c.Start(), c.Hold("rain"), c.Resume(), c.End("rain"))
    with pytest.raises(ReviewError, match="no item was ever started"):
        waterfall(PLAN, night.records)
    with pytest.raises(ReviewError, match="no item"):
        waterfall(PLAN, [])
    night = plain_night()
    other = [
        replace(r, events=tuple(replace(e, item="elsewhere") if hasattr(e, "item") else e for e in r.events))
        for r in night.records
    ]
    with pytest.raises(ReviewError, match="'elsewhere' that this edition does not"):
        waterfall(PLAN, other)


ACTS = st.lists(
    st.tuples(
        st.sampled_from(["go"] * 8 + ["hold", "resume", "skip", "jump", "back", "clear", "note"]),
        st.integers(0, 90 * NS),
        st.integers(0, 12),
    ),
    max_size=40,
)
CUES = [(p.item.id, None) for p in PLAN.items] + [(p.item.id, x.cue.id) for p in PLAN.items for x in p.cues]


@given(
    acts=ACTS,
    start_ns=st.integers(0, 200 * NS),
    late_ns=st.integers(-3600 * NS, 3600 * NS),
    ended=st.booleans(),
)
@settings(max_examples=150, deadline=None)
def test_every_nanosecond_has_one_owner(
    acts: list[tuple[str, int, int]], start_ns: int, late_ns: int, ended: bool
) -> None:
    check_owners(acts, start_ns, late_ns, ended)


def check_owners(acts: list[tuple[str, int, int]], start_ns: int, late_ns: int, ended: bool) -> None:
    """Judged by the state machine's own clocks: the show's length, each item's length, the holds."""
    night = Night()
    t_ns = start_ns
    night.at(0, c.Start())
    night.at(t_ns, c.Go("song:start"))
    for what, wait_ns, which in acts:
        t_ns += wait_ns
        night.at(t_ns)
        item, cue = CUES[which % len(CUES)]
        choices: dict[str, c.Input] = {
            "go": c.Go(night.next_go()), "hold": c.Hold("mic" if which % 2 else ""), "resume": c.Resume(),
            "skip": c.Skip(night.next_go()), "jump": c.Jump(item, cue), "back": c.Back(),
            "clear": c.Clear("path", True), "note": c.WriteNote("so"),
        }  # fmt: skip
        night.at(t_ns, choices[what])
    if ended:
        night.at(t_ns, c.End())
    records = night.records
    if not {e.item for r in records for e in r.events if isinstance(e, ev.ItemStarted)}:
        return
    try:
        timeline = make_timeline(records)
    except ReviewError:
        assert any(isinstance(e, ev.TakenBack) for r in records for e in r.events)
        return
    on = night.state.item_ns(records[-1].t_ns)
    assert (on is None) == (not timeline.visits or timeline.visits[-1].ended)
    if on is not None:  # also after starts were taken back
        assert (timeline.visits[-1].item, timeline.visits[-1].clock_ns) == (
            PLAN.items[night.state.item].item.id,
            pytest.approx(on, abs=10),
        )
    planned_wall = records[0].wall_ns - late_ns
    fall = waterfall(PLAN, records, planned_start_wall_ns=planned_wall)
    assert fall.total_ns == fall.end_wall_ns - fall.planned_end_wall_ns
    assert fall.end_wall_ns == DOORS + records[-1].t_ns
    assert fall.total_ns == sum(bar.ns for bar in fall.bars())
    assert timeline.gap_ns + sum(v.ran_ns for v in timeline.visits) + sum(h.ns for h in timeline.holds) == (
        timeline.end_ns - timeline.begun_ns
    )
    ends = [e for r in records for e in r.events if isinstance(e, ev.ItemEnded | ev.RunEnded)]
    if ended:
        assert ends[-1].show_s == pytest.approx(fall.actual_length_ns / NS, abs=1e-6)
    backs = any(isinstance(r.input, c.Back) for r in records)
    if not backs:
        lengths = [(e.item, e.length_s) for e in ends if isinstance(e, ev.ItemEnded)]
        mine = [(v.item, v.clock_ns / NS) for v in timeline.visits if v.ended]
        assert [i for i, _ in mine] == [i for i, _ in lengths]
        assert [s for _, s in mine] == pytest.approx([s for _, s in lengths], abs=1e-6)
        held = sum(e.held_s for r in records for e in r.events if isinstance(e, ev.Resumed))
        still = records[-1].t_ns - night.state.held_at_ns if night.state.held_at_ns is not None else 0
        assert sum(h.ns for h in timeline.holds) == pytest.approx(held * NS + still, abs=1000)


@pytest.mark.parametrize(
    ("starts_at", "near", "planned"),
    [
        ("20:45", (2026, 7, 4, 20, 46), (2026, 7, 4, 20, 45)),
        ("20:45:30", (2026, 7, 4, 20, 31), (2026, 7, 4, 20, 45, 30)),
        ("00:10", (2026, 7, 4, 23, 58), (2026, 7, 5, 0, 10)),
        ("23:50", (2026, 7, 5, 0, 20), (2026, 7, 4, 23, 50)),
    ],
)
def test_the_planned_start_is_the_evenings(
    starts_at: str, near: tuple[int, ...], planned: tuple[int, ...]
) -> None:
    for zone in (UTC, timezone(timedelta(hours=-7)), ZoneInfo("Europe/Berlin")):
        near_ns = int(datetime(*near, tzinfo=zone).timestamp()) * NS  # type: ignore[arg-type,misc]
        expected = int(datetime(*planned, tzinfo=zone).timestamp()) * NS  # type: ignore[arg-type,misc]
        assert planned_start_wall_ns(starts_at, near_ns, zone) == expected
