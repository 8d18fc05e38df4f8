"""The plan as the state machine's tables."""

from fractions import Fraction

from small_shows import cue, follow, item, show, two_songs

from showcaller.run.compiled import NS, compile_show, to_ns
from showcaller.timing.plan import compile_plan


def program_of(made, **more):
    return compile_show(compile_plan(made), **more)


def test_seconds_become_the_nearest_nanosecond():
    # Three quarter notes at 124 in a minute are 180/124 s = 1.451612903225… s.
    assert to_ns(Fraction(180, 124)) == 1_451_612_903
    assert to_ns(Fraction(1, 3)) == 333_333_333
    assert to_ns(Fraction(2, 3)) == 666_666_667


def test_every_cue_and_item_is_found_by_its_id():
    compiled = program_of(two_songs())
    assert compiled.item_index == {"first": 0, "second": 1}
    for name, (i, k) in compiled.where.items():
        assert compiled.items[i].planned.cues[k].cue.id == name
    assert len(compiled.where) == 12


def test_instants_are_those_of_the_plan_and_items_start_one_after_the_other():
    compiled = program_of(two_songs())
    assert compiled.starts_ns == (0, 60 * NS)
    second = compiled.items[1]
    assert dict(zip(second.ids, second.at_ns, strict=True)) == {"g": 0, "h": 12 * NS, "i": 13 * NS}
    assert second.go_ids == ("second:start", "second:h")
    assert second.go_at_ns == (0, 12 * NS)


def test_what_fires_by_itself_is_known_with_what_it_follows_and_after_how_long():
    cues = [
        cue("a", "1", 4),
        follow("b", "2", "a", 1.5),
        follow("c", "3", "b", "1/3"),
        cue("d", "4", 9, fires="by itself"),
    ]
    made = program_of(show([item("s", 20, cues)])).items[0]
    named = {made.ids[k]: (None if after is None else made.ids[after], ns) for k, after, ns in made.automatic}
    assert named == {"b": ("a", 1_500_000_000), "c": ("b", 333_333_333), "d": (None, 9 * NS)}
    assert {made.ids[k]: [made.ids[f] for f in v] for k, v in made.followers.items()} == {
        "a": ["b"],
        "b": ["c"],
    }


def test_a_called_cue_with_an_after_anchor_is_called_and_does_not_fire_by_itself():
    cues = [cue("a", "1", 0), cue("b", "2", {"at": "after", "cue": "a", "delay_s": 3})]
    made = program_of(show([item("s", 20, cues)])).items[0]
    assert made.automatic == ()
    assert made.go_ids == ("s:start", "s:b")


def test_lateness_is_judged_in_real_seconds_in_a_fast_rehearsal_too():
    assert program_of(two_songs()).late_limit_ns == NS
    assert program_of(two_songs(), speed=20).late_limit_ns == 20 * NS
