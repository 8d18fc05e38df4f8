"""What was otherwise tonight, offered to the book: the book then has what was on the wall."""

from test_stood import COMPILED, PLAN, Run, random_run

from showcaller.editing import apply
from showcaller.review.clock_path import clock_path
from showcaller.review.differences import differences
from showcaller.review.strip import song_strip
from showcaller.run import commands as c
from showcaller.screen.looks import looks_of
from showcaller.timing.plan import compile_plan

BOOK = PLAN.show


def night(*more):
    run = Run()
    run.at(0, c.Start())
    for at_s, given in sorted([(0, None), (16, None), (32, None), *more], key=lambda m: m[0]):
        run.at(at_s, given or c.Go(run.next_go()))
    run.at(90, c.WriteNote("on"))
    return run.records


def found(records, book=BOOK):
    return differences(PLAN, clock_path(COMPILED, records), records, book)


def test_a_night_as_planned_offers_nothing():
    assert found(night((64, None))) == ()


def test_a_look_by_hand_becomes_a_cue_where_it_was_and_is_offered_no_more():
    records = night((20, c.PutLook("one", "mix", 4.0)), (64, None))
    (one,) = found(records)
    assert (one.words, one.does, one.bar) == (
        "“One face” put up by hand", "a cue at bar 11 / 1 that brings it: mix over 4 beats", 11,
    )  # fmt: skip
    after, back = apply(BOOK, one.change)
    looks = looks_of(compile_plan(after), 0)
    came = next(s for s in looks.standing if s.look.id == "one")
    assert (came.at_s, came.change.by, came.change.beats) == (20.0, "mix", 4.0)
    assert apply(after, back)[0] == BOOK


def test_a_look_played_becomes_its_cue_s_own_in_this_place_alone():
    records = night((40, c.PlayLayer("cam-2", {"opacity": 0.5}, 3)), (64, None))
    (one,) = found(records)
    assert one.words == "“Faces” played by hand"
    after, _ = apply(BOOK, one.change)
    faces = next(s for s in looks_of(compile_plan(after), 0).standing if s.look.id == "faces")
    assert faces.look.layers[0].opacity == 0.5
    assert found(records, after) == ()


def test_a_go_far_from_its_place_can_go_there_and_one_near_is_a_hand_s_own():
    records = night((66.1, None))
    (one,) = found(records)
    assert one.words == "Video 4 was called 2.1 s late"
    assert one.does == "Video 4 to bar 34 / 1"
    after, _ = apply(BOOK, one.change)
    assert float(compile_plan(after).items[0].cues[3].at_s) == 66.0
    assert found(night((64.4, None))) == ()


def test_a_go_before_the_clock_was_put_right_may_have_been_the_clock_s_fault():
    """At 70 s the caller says that bar 38 is now: until then the clock stood 4 s behind."""
    (one,) = found(night((61.5, None), (70, c.Resync(bar=38))))
    assert (one.change, one.does) == (None, "")
    assert "the clock was put right by +4.0 s afterwards" in one.why
    taken_back = night((61.5, None), (70, c.Resync(bar=38)), (72, c.Resync(undo=True)))
    assert found(taken_back)[0].change is not None


def test_of_random_nights_every_change_that_is_ready_can_be_made_and_taken_back():
    """And what it brings is the look that stood there."""
    made = 0
    for seed in range(300, 330):
        records = random_run(seed)
        path = clock_path(COMPILED, records)
        bands = {
            (b.t_ns, n): b for n in range(2) for b in song_strip(PLAN, path, records, n).tonight if b.by_hand
        }
        for one in differences(PLAN, path, records, BOOK):
            if one.change is None:
                assert one.why
                continue
            after, back = apply(BOOK, one.change)
            assert after != BOOK
            assert apply(after, back)[0] == BOOK
            item = next(n for n, p in enumerate(PLAN.items) if p.item.id == one.item)
            band = bands.get((one.t_ns, item))
            if band is not None:
                names = [s.look.id for s in looks_of(compile_plan(after), item).standing]
                assert band.look.id in names
            made += 1
    assert made > 60
