"""How a run was called, item by item and section by section, against the nights before."""

from statistics import median, stdev

import pytest
from played import Played
from small_shows import cue, item, show, two_songs

from showcaller.review.called import called_table
from showcaller.review.tables import cue_table
from showcaller.run import commands as c


def sung():
    """A song of three sections, eight seconds each, with a go in the first and two in the last."""
    cues = [
        cue("a", "1", 2, standby_s=1),
        cue("b", "2", 18, standby_s=4),
        cue("c", "3", 22, standby_s=4),
    ]
    sections = [{"name": "Verse", "bar": 1}, {"name": "Chorus", "bar": 5}, {"name": "Verse", "bar": 9}]
    tempo = [{"bar": 1, "bpm": 120}]
    return show([item("s", 60, cues, tempo=tempo, sections=sections)])


def by_place(rows):
    return {(r.item, r.section): r for r in rows}


def test_each_song_and_section_has_its_bias_its_spread_and_its_standbys():
    run = Played(sung())
    gos = run.compiled.items[0].go_ids
    assert len(gos) == 4  # its start is one
    run.go(0)
    run.go(2.5)  # nobody called its standby
    run.at(10, c.Standby("x", ("b",)))
    run.go(18.1)
    run.at(20, c.Standby("y", ("c",)))
    run.go(21.8)  # 1.8 s after its standby, which wants 4
    run.at(50, c.End("over"))
    found = by_place(called_table(run.compiled.plan, run.records))
    assert list(found) == [("s", ""), ("s", "Verse"), ("s", "Verse 2")]
    whole = found["s", ""]
    assert (whole.goes, whole.standbys, whole.unsaid, whole.hurried) == (3, 3, 1, 1), "a start fires nothing"
    assert whole.error_s == pytest.approx(median([0.5, 0.1, -0.2]))
    assert whole.spread_s == pytest.approx(stdev([0.5, 0.1, -0.2]))
    assert whole.lead_s == pytest.approx(median([8.1 - 4, 1.8 - 4]))
    last = found["s", "Verse 2"]
    assert (last.goes, last.unsaid, last.hurried) == (2, 0, 1)
    assert last.error_s == pytest.approx(-0.05)
    assert found["s", "Verse"].spread_s is None
    assert (whole.before_s, whole.nights) == (None, 0)


def test_the_nights_before_stand_beside_it_each_with_one_voice():
    def played(*late):
        run = Played(sung())
        run.go(0)
        for planned, late_s in zip((2, 18, 22), late, strict=True):
            run.go(planned + late_s)
        run.at(50, c.End("over"))
        return run

    nights = [played(1, 1, 1), played(0.2, 0.4, 0.3), played(-1, 3, 0.6)]
    tonight = played(0, 0.1, 0.2)
    before = [cue_table(run.compiled.plan, run.records) for run in nights]
    found = by_place(called_table(tonight.compiled.plan, tonight.records, before))
    assert found["s", ""].nights == 3
    assert found["s", ""].before_s == pytest.approx(median([1, 0.3, 0.6]))
    assert found["s", "Verse"].before_s == pytest.approx(0.2)


def test_what_was_taken_back_is_not_judged_and_an_item_without_bars_is_one_row():
    run = Played(two_songs())
    run.go(0)
    run.go(13.5)
    run.at(14, c.Back())
    run.go(10 + 4.2)
    run.at(40, c.End("over"))
    (row,) = called_table(run.compiled.plan, run.records)
    assert (row.item, row.section, row.goes) == ("first", "", 2)
    assert row.error_s == pytest.approx(4.2), "of the one that is not the start"
