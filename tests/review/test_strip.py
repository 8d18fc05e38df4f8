"""A song as a strip, against a reading of the state at every frame of random runs."""

import numpy as np
import pytest
from played import Played
from test_stood import COMPILED, FRAME_NS, PLAN, Run, random_run

from showcaller.review.clock_path import clock_path, place_at
from showcaller.review.strip import run_ns_at, song_strip
from showcaller.review.wall_at import WallAfterwards, captions
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.machine import first_state, step
from showcaller.run.playing import look_of


def last_look_by_clock(records, item):
    """Frame by frame: at every 25th of a second of an item's clock, the look that stood there last."""
    state, n, looks, found = first_state(COMPILED), 0, -1, {}
    for frame in range(records[-1].t_ns // FRAME_NS):
        t_ns = frame * FRAME_NS + FRAME_NS // 2
        while n < len(records) and records[n].t_ns <= t_ns:
            state, _ = step(COMPILED, state, records[n].input, records[n].t_ns)
            looks += sum(isinstance(e, ev.LookShown) for e in records[n].events)
            n += 1
        at_ns = state.item_ns(t_ns)
        if state.item == item and at_ns is not None and state.phase == "running" and looks >= 0:
            found[at_ns] = looks
    return found


@pytest.mark.parametrize("seed", range(100, 112))
def test_tonight_s_lane_is_what_a_reading_at_every_frame_finds(seed):
    records = random_run(seed)
    path = clock_path(COMPILED, records)
    for item in range(2):
        strip = song_strip(PLAN, path, records, item)
        for at_ns, number in last_look_by_clock(records, item).items():
            at_s = at_ns / NS
            mine = [b.number for b in strip.tonight if b.from_s <= at_s < b.to_s]
            assert mine == [number], (seed, item, at_s)
            assert place_at(path, run_ns_at(path, item, at_s)) == (item, at_ns)
        edges = [b.from_s for b in strip.tonight]
        assert edges == sorted(edges)
        assert all(a.to_s <= b.from_s + 1e-9 for a, b in zip(strip.tonight, strip.tonight[1:], strict=False))


def called_as_planned(*more):
    run = Run()
    run.at(0, c.Start())
    times = sorted([(0, None), (16, None), (32.2, None), *more], key=lambda m: m[0])
    for at_s, given in times:
        run.at(at_s, given or c.Go(run.next_go()))
    run.at(60, c.WriteNote("on"))
    return run.records


def test_a_night_as_planned_differs_nowhere_and_a_hand_where_it_was():
    records = called_as_planned()
    plain = song_strip(PLAN, clock_path(COMPILED, records), records, 0)
    assert plain.differs == ()
    assert [(b.look.name, b.from_s) for b in plain.plan] == [
        ("Sea", 0.0), ("Wide", 16.0), ("Faces", 32.0), ("One face", 64.0)
    ]  # fmt: skip
    records = called_as_planned(
        (20, c.PutLook("one", "mix", 4.0)), (40, c.PlayLayer("cam-2", {"opacity": 0.5}, 4))
    )
    strip = song_strip(PLAN, clock_path(COMPILED, records), records, 0)
    assert strip.differs == ((20.0, 32.2), (40.0, 60.0))
    by_hand = next(b for b in strip.tonight if b.by_hand)
    assert (by_hand.look.name, by_hand.how, by_hand.cue) == ("One face", "mix over 4 beats", "")
    faces = strip.tonight[-1]
    assert faces.played_s == (40.0,)
    assert faces.look.layers[0].opacity == 0.5


def test_the_wall_of_a_moment_is_the_plan_s_and_the_log_s():
    records = called_as_planned((20, c.PutLook("one", "mix", 4.0)))
    wall = WallAfterwards(PLAN, PLAN, records)

    def seen(t_s):
        then = wall.at(round(t_s * NS))
        return {x.source for x in then.planned.layers}, {x.source for x in then.tonight.layers}

    assert seen(50) == ({"cam-2", "cam-3"}, {"cam-2", "cam-3"})
    assert seen(25) == ({"sea", "cam-1"}, {"cam-1"})
    assert seen(20) == ({"sea", "cam-1"}, {"cam-1"})  # the instant it sets out shows it there
    mixing = wall.at(round(20.2 * NS)).tonight
    assert 0 < mixing.progress < 1
    assert {x.source for x in mixing.before} == {"sea", "cam-1"}
    assert np.isclose(wall.at(25 * NS).at_s, 25)


def test_at_the_very_instant_of_a_cut_the_new_look_is_there():
    """An instant between two microseconds, as a hand's press is."""
    run = Played(PLAN.show)
    run.go(1)
    run.go(17)
    run.at(21.000000652, c.PutLook("one", "cut", 0.0))
    run.at(30, c.WriteNote("on"))
    records = run.records
    t_ns = next(r.t_ns for r in records for e in r.events if isinstance(e, ev.LookShown) and e.cue is None)
    assert t_ns % 1000
    wall, path = WallAfterwards(PLAN, PLAN, records), clock_path(COMPILED, records)
    then = wall.at(t_ns)
    assert then.tonight_name == "One face"
    assert {x.source for x in then.tonight.layers} == {"cam-1"}
    assert captions(song_strip(PLAN, path, records, 0), then)[1] == ("One face · cut, by hand", True)
    assert wall.at(t_ns - 10_000).tonight_name == "Wide"


def test_what_is_written_under_a_picture_is_what_it_shows_at_every_look_of_random_nights():
    """At cuts, after jumps, where a part was played twice: the name is that of the look that came."""
    seen = 0
    for seed in range(300, 312):
        records = random_run(seed)
        wall, path = WallAfterwards(PLAN, PLAN, records), clock_path(COMPILED, records)
        came = [(r.t_ns, e) for r in records for e in r.events if isinstance(e, ev.LookShown)]
        for n, (t_ns, event) in enumerate(came):
            then = wall.at(t_ns)
            if then is None or any(t == t_ns for t, _ in came[n + 1 :]):
                continue
            strip = song_strip(PLAN, path, records, then.item)
            (_, _), (words, hand) = captions(strip, then)
            name = look_of(PLAN.show, event).name
            assert (then.number, words.split(" · ")[0]) == (n, name)
            assert hand == any(b.number == n and (b.by_hand or b.played_s) for b in strip.tonight)
            seen += 1
    assert seen > 100
