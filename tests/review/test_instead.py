"""This instead: the book then has another look or source at that bar, and nothing else is otherwise."""

from fractions import Fraction

import pytest
from test_stood import COMPILED, PLAN, Run

from showcaller.editing import ChangeError, apply
from showcaller.review.clock_path import clock_path
from showcaller.review.errors import ReviewError
from showcaller.review.instead import book_place, instead
from showcaller.review.windows import counted_sections
from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.screen.looks import looks_of
from showcaller.timing.plan import compile_plan

BOOK = PLAN.show


def place(t_s):
    """120 bpm in 4/4: a bar is 2 s; looks come at 0 (sea), 16 (wide), 32 (faces) and 64 s."""
    run = Run()
    run.at(0, c.Start())
    for at_s in (0, 16, 32, 64):
        run.at(at_s, c.Go(run.next_go()))
    run.at(90, c.WriteNote("on"))
    return book_place(PLAN, clock_path(COMPILED, run.records), round(t_s * NS), BOOK)


def standing(show):
    return [
        (s.at_s, s.look.id, [x.source for x in s.look.layers])
        for s in looks_of(compile_plan(show), 0).standing
    ]


def test_at_its_cue_that_cue_brings_another_look_as_it_came():
    where = place(16.4)
    assert where.look.id == "wide"
    words, change = instead(where, BOOK, "One face")
    after, back = apply(BOOK, change)
    assert words.startswith("“One face” at bar 9 of ")
    came = [s for s in looks_of(compile_plan(after), 0).standing if s.at_s == 16]
    before = [s for s in looks_of(compile_plan(BOOK), 0).standing if s.at_s == 16]
    assert [(s.look.id, s.change.by, s.change.beats) for s in came] == [
        ("one", before[0].change.by, before[0].change.beats)
    ]
    assert [row for row in standing(after) if row[0] != 16] == [row for row in standing(BOOK) if row[0] != 16]
    assert apply(after, back)[0] == BOOK


def test_later_a_new_cue_at_that_bar_brings_it():
    words, change = instead(place(24.3), BOOK, "one")
    after, _ = apply(BOOK, change)
    assert words.startswith("“One face” at bar 13 of ")
    assert next(row[:2] for row in standing(after) if row[1] == "one") == (24.5, "one")
    assert len(after.items[0].cues) == len(BOOK.items[0].cues) + 1


def test_another_camera_takes_the_place_of_the_camera_in_front_and_the_rest_stays():
    where = place(40)
    cameras = {s.id for s in BOOK.sources if s.kind == "camera"}
    before = [x.source for x in where.look.layers]
    free = next(s for s in BOOK.sources if s.id in cameras and s.id not in before)
    _, change = instead(where, BOOK, free.name)
    after, _ = apply(BOOK, change)
    now = next(row for row in standing(after) if row[0] == 40.0)
    changed = [(a, b) for a, b in zip(before, now[2], strict=True) if a != b]
    assert len(changed) == 1
    assert changed[0][0] in cameras
    assert changed[0][1] == free.id


def test_a_shot_is_put_into_the_songs_shots_from_that_bar_to_the_end_of_its_section():
    where = place(40)  # bar 21, in the chorus from bar 17 on
    words, change = instead(where, BOOK, "2: hands; 85 mm")
    after, back = apply(BOOK, change)
    (shot,) = after.items[0].shots
    last = counted_sections(where.planned)[-1][2]
    until = where.planned.bar_number_at(last - Fraction(1, 1000))
    assert words.startswith("new shot of Roof camera, bar 21 in ")
    assert (shot.camera, shot.bar, shot.what, shot.lens) == ("cam-2", 21, "hands", "85 mm")
    assert 21 <= shot.until_bar <= until
    assert apply(after, back)[0] == BOOK
    with pytest.raises(ChangeError, match="the book has this shot at bar 21 already"):
        instead(where, after, "2: hands; 85 mm")
    words, change = instead(where, BOOK, "Hand camera, 30-32: drum riser")
    (shot,) = apply(BOOK, change)[0].items[0].shots
    assert (shot.camera, shot.bar, shot.until_bar) == ("cam-3", 30, 32)
    with pytest.raises(ChangeError, match="'9' is not one of the cameras"):
        instead(where, BOOK, "9: hands")


def test_what_is_there_already_is_a_sentence_and_makes_no_cue():
    where = place(16.4)
    with pytest.raises(ChangeError, match=r"the book has “Wide” at bar 9 of .* already"):
        instead(where, BOOK, "Wide")
    faces = place(40)
    front = next(s for s in BOOK.sources if s.id == faces.look.layers[-1].source)
    with pytest.raises(ChangeError, match=f"has “{front.name}” there already"):
        instead(faces, BOOK, front.name)


def test_the_bar_that_is_said_is_the_bar_where_the_cue_comes():
    """Late in bar 12 the nearest beat is the one of bar 13 (120 bpm in 4/4: a bar is 2 s)."""
    where = place(23.9)
    words, change = instead(where, BOOK, "one")
    after, _ = apply(BOOK, change)
    assert next(row[0] for row in standing(after) if row[1] == "one") == 24.0
    assert words.startswith("“One face” at bar 13 of ")


def test_what_is_none_or_nowhere_is_a_sentence():
    with pytest.raises(ChangeError, match="look or source: 'moon'"):
        instead(place(20), BOOK, "moon")
    with pytest.raises(ReviewError, match="no item was on"):
        place(-5)
