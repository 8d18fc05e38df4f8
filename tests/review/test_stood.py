"""What stood on the wall in a part of a run, against a reading of the state at every frame of random runs."""

from datetime import UTC, datetime
from random import Random
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from wall_show import wall_show

from showcaller.review.clock_path import clock_path
from showcaller.review.errors import ReviewError
from showcaller.review.stood import stood_in
from showcaller.review.windows import asked
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, compile_show
from showcaller.run.machine import first_state, step
from showcaller.run.runlog import Record
from showcaller.timing.plan import compile_plan

FRAME_NS = NS // 25
WALL0_NS = 1_780_000_000 * NS


def plan_of_sections():
    show = wall_show()
    sections = [{"name": n, "bar": b} for n, b in (("Chorus", 1), ("Verse", 9), ("Chorus", 17), ("Out", 41))]
    first, second = show.items
    return compile_plan(show.changed(items=(first.changed(sections=sections), second)))


PLAN = plan_of_sections()
COMPILED = compile_show(PLAN)


class Run:
    """Inputs at whole frames, with what fires by itself between them."""

    def __init__(self):
        self.state, self.records, self.next_ns = first_state(COMPILED), [], None

    def step(self, given, t_ns):
        state, out = step(COMPILED, self.state, given, t_ns)
        if out.refused is None and (out.events or state != self.state):
            self.state, self.next_ns = state, out.next_ns
            n = len(self.records) + 1
            self.records.append(Record(n, t_ns, WALL0_NS + t_ns, given, tuple(out.events)))

    def at(self, s, given):
        self.step(given, round(s * 25) * FRAME_NS)

    def next_go(self):
        place = self.state.place
        return COMPILED.items[place.item].go_ids[place.go] if place.item < len(COMPILED.items) else "none"


def random_run(seed):
    """Goes, looks by hand, holds, jumps, taps and going back, at random frames over some four minutes."""
    r, run = Random(seed), Run()
    run.at(0, c.Start())
    t_s = 1.0
    while t_s < 240 and run.state.phase != "ended":
        kind = r.random()
        if kind < 0.35:
            given = c.Go(run.next_go())
        elif kind < 0.7:
            given = c.PutLook(
                r.choice(["sea", "wide", "faces", "one"]), r.choice(["cut", "mix"]), r.choice([0.0, 4.0])
            )
        elif kind < 0.8:
            given = c.Hold("x") if run.state.phase == "running" else c.Resume(r.random() < 0.3)
        elif kind < 0.87:
            item = r.choice(PLAN.items).item
            given = c.Jump(item.id, r.choice([None, *(q.id for q in item.cues)]), r.random() < 0.5)
        elif kind < 0.93:
            given = c.Resync(bar=r.randint(1, 50))
        else:
            given = c.Back() if r.random() < 0.5 else c.Resume()
        run.at(t_s, given)
        t_s += r.choice([0.04, 0.4, 1.0, 3.0, 7.0, 12.0])
    run.at(t_s, c.WriteNote("the end of it"))
    return run.records


def frames_of(records):
    """At the middle of every frame: item and its clock (ns; −1 for none), and the places of looks that
    stand."""
    came = [(x.t_ns, e) for x in records for e in x.events if isinstance(e, ev.LookShown)]
    state, n, items, clocks, stands = first_state(COMPILED), 0, [], [], []
    for frame in range(records[-1].t_ns // FRAME_NS):
        t_ns = frame * FRAME_NS + FRAME_NS // 2
        while n < len(records) and records[n].t_ns <= t_ns:
            state, _ = step(COMPILED, state, records[n].input, records[n].t_ns)
            n += 1
        at_ns = state.item_ns(t_ns)
        items.append(-1 if at_ns is None else state.item)
        clocks.append(-1 if at_ns is None else at_ns)
        on = [k for k, (came_ns, _) in enumerate(came) if came_ns <= t_ns]
        mask = 0
        if on:
            mask = 1 << on[-1]
            over_ns = round(came[on[-1]][1].over_s * NS) if came[on[-1]][1].by != "cut" else 0
            if len(on) > 1 and t_ns < came[on[-1]][0] + over_ns:
                mask |= 1 << on[-2]
        stands.append(mask)
    return np.array(items), np.array(clocks, dtype=np.int64), stands


def brute(stands, chosen):
    mask = 0
    for frame in np.flatnonzero(chosen):
        mask |= stands[frame]
    return {n for n in range(mask.bit_length()) if mask >> n & 1}


SECTION_S = {"chorus 1": (0, 16), "verse": (16, 32), "chorus 2": (32, 80), "out": (80, 120)}
"""120 quarters a minute in 4/4: bar n begins at 2 (n − 1) s."""


def queried(seeds):
    """Ask of every run what stood in sections, bars, last seconds and times of day; how many were asked."""
    queries = 0
    for seed in seeds:
        records = random_run(seed)
        path = clock_path(COMPILED, records)
        items, clocks, stands = frames_of(records)
        r = Random(seed)

        def check(words, chosen, path=path, records=records, stands=stands, seed=seed):
            meant = asked(words, PLAN, path, records, UTC)
            found = {s.number for s in stood_in(PLAN, path, records, meant.spans)}
            assert found == brute(stands, chosen), (seed, words)

        for name, (low, high) in SECTION_S.items():
            check(name, (items == 0) & (clocks >= low * NS) & (clocks < high * NS))
            queries += 1
        for _ in range(170):
            first = r.randint(1, 60)
            last = first + r.choice([0, 0, 1, 7, 15])
            low, high = 2 * (first - 1) * NS, 2 * last * NS
            check(f"bars {first}-{last}", (items == 0) & (clocks >= low) & (clocks < high))
            queries += 1
        times = np.arange(len(stands)) * FRAME_NS + FRAME_NS // 2
        for seconds in r.sample(range(1, 200), 40):
            check(f"last {seconds}", times > max(0, records[-1].t_ns - seconds * NS))
            queries += 1
        zero_s = WALL0_NS // NS
        for _ in range(40):
            begin = r.randint(0, 220)
            end = begin + r.randint(1, 30)
            words = "-".join(np.datetime64(zero_s + s, "s").astype(str).split("T")[1] for s in (begin, end))
            check(words, (times >= begin * NS) & (times < end * NS))
            queries += 1
    return queries


def test_what_stood_is_what_a_reading_at_every_frame_finds():
    """Some hundreds; ten thousand in benchmarks/what_stood.py."""
    assert queried(range(3)) >= 700


def test_a_look_by_hand_that_came_before_the_chorus_is_in_it():
    run = Run()
    run.at(0, c.Start())
    for at_s in (0, 16, 32):
        run.at(at_s, c.Go(run.next_go()))
    run.at(58, c.PutLook("one", "mix", 4.0))  # bar 30
    run.at(80, c.WriteNote("bar 41"))
    run.at(100, c.WriteNote("on"))
    path = clock_path(COMPILED, run.records)
    meant = asked("bars 35-40", PLAN, path, run.records, UTC)
    (one,) = stood_in(PLAN, path, run.records, meant.spans)
    assert (one.look, one.by_hand, one.how) == ("One face", True, "mix over 4 beats")
    assert (one.since.words, one.until) == ("Gulls, bar 30 / 1", None)
    assert [(x.arrived.words, x.carried) for x in one.layers] == [("Gulls, bar 31 / 1", False)]
    meant = asked("chorus 2", PLAN, path, run.records, UTC)
    assert [s.look for s in stood_in(PLAN, path, run.records, meant.spans)] == ["Wide", "Faces", "One face"][
        1:
    ]


def test_a_layer_that_stays_is_there_since_it_first_came():
    run = Run()
    run.at(0, c.Start())
    run.at(0, c.Go(run.next_go()))
    run.at(16, c.Go(run.next_go()))  # the sea stays under a camera that mixes in over 8 beats
    run.at(30, c.WriteNote("on"))
    path = clock_path(COMPILED, run.records)
    spans = asked("bars 13-14", PLAN, path, run.records, UTC).spans
    wide = stood_in(PLAN, path, run.records, spans)[-1]
    assert [(x.words.split(" · ")[0], x.arrived.words, x.carried) for x in wide.layers] == [
        ("Gate camera", "Gulls, bar 11 / 1", False),
        ("Sea", "Gulls, bar 1 / 1", True),
    ]


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (
            "solo",
            "no section 'solo'; there are Chorus 1, Verse, Chorus 2, Out; or ask for chorus 2; chorus 2 of ",
        ),
        ("bars 900-901", "there is no bar 900: no song that was played has more than 60 bars"),
        ("bars 9-3", "bars 9 to 3 are none; bars count from 1, such as bars 57-72"),
        ("25:00-26:00", "'25:00' is not a time of day; write 21:14 or 21:14:30"),
        ("21:15-21:14", "21:14 is before 21:15; write the earlier one first"),
    ],
)
def test_what_names_nothing_is_a_sentence(words, why):
    records = random_run(1)
    with pytest.raises(ReviewError, match="^" + why.replace("'", ".").replace("(", ".")):
        asked(words, PLAN, clock_path(COMPILED, records), records, UTC)


def test_a_hold_in_a_section_belongs_to_it_to_the_nanosecond():
    run = Run()
    run.at(0, c.Start())
    run.at(1, c.Go(run.next_go()))
    run.at(5, c.Hold("x"))  # 4 s into the song: bar 3 begins
    run.at(15, c.Resume())
    run.at(60, c.WriteNote("on"))
    path = clock_path(COMPILED, run.records)
    for words, begin, end in (("bars 1-2", 1, 5), ("bar 3", 5, 17), ("bar 4", 17, 19)):
        assert asked(words, PLAN, path, run.records, UTC).spans == ((begin * NS, end * NS),)


@pytest.mark.parametrize("zone", ["UTC", "Europe/Berlin", "America/Los_Angeles"])
def test_a_time_of_day_is_found_past_midnight_and_after_the_clock_was_set(zone):
    tz = ZoneInfo(zone)
    wall0 = int(datetime(2026, 7, 4, 23, 59, 50, tzinfo=tz).timestamp()) * NS
    note = c.WriteNote("x")
    records = [Record(n + 1, t * NS, wall0 + t * NS, note, ()) for n, t in enumerate((0, 5, 30))]
    assert asked("00:00:00-00:00:10", PLAN, (), records, tz).spans == ((10 * NS, 20 * NS),)
    # At 31 s the machine's clock has been set an hour on: what is asked behind it counts from there.
    records.append(Record(4, 31 * NS, wall0 + (31 + 3600) * NS, note, ()))
    assert asked("01:00:21-01:00:25", PLAN, (), records, tz).spans == ((31 * NS, 35 * NS),)
    assert asked("00:00:00-00:00:10", PLAN, (), records, tz).spans == ((10 * NS, 20 * NS),)


def test_a_section_of_one_item_is_asked_for_by_its_name():
    records = random_run(2)
    path = clock_path(COMPILED, records)
    assert asked("verse of gulls", PLAN, path, records, UTC) == asked(
        "verse", PLAN, path, records, UTC, "gulls"
    )
    with pytest.raises(ReviewError, match="no item's name holds 'lantern'"):
        asked("verse of lantern", PLAN, path, records, UTC)


def test_what_was_played_before_the_end_of_the_part_is_told_with_its_look():
    run = Run()
    run.at(0, c.Start())
    for at_s in (0, 16):
        run.at(at_s, c.Go(run.next_go()))
    for n in range(26):  # bar 11 / 1 to bar 11 / 3
        run.at(20 + n / 25, c.PlayLayer("cam-1", {"left_m": n, "bottom_m": 0}, 2))
    run.at(26, c.PlayLayer("cam-1", {"opacity": 0.5}, 2))
    run.at(30, c.WriteNote("on"))
    path = clock_path(COMPILED, run.records)
    spans = asked("bars 12-13", PLAN, path, run.records, UTC).spans
    wide = stood_in(PLAN, path, run.records, spans)[-1]
    assert [(p.words, p.since.words, p.until.words) for p in wide.played] == [
        ("Gate camera · at 25, 0", "Gulls, bar 11 / 1", "Gulls, bar 11 / 3")
    ]
    spans = asked("bars 12-14", PLAN, path, run.records, UTC).spans
    assert [p.words for p in stood_in(PLAN, path, run.records, spans)[-1].played] == [
        "Gate camera · at 25, 0", "Gate camera · 50 %"
    ]  # fmt: skip


def test_a_song_that_was_not_played_is_said_so_with_those_that_were():
    run = Run()
    run.at(0, c.Start())
    run.at(1, c.Go(run.next_go()))
    run.at(20, c.End("cut"))
    path = clock_path(COMPILED, run.records)
    played, *others = (p.item.name for p in PLAN.items)
    with pytest.raises(ReviewError, match=f"^{others[0]} was not played that night; played were: {played}$"):
        asked(f"chorus 2 of {others[0].lower()}", PLAN, path, run.records, UTC)
