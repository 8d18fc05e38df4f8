"""A section that is repeated: its goes come again, and none of them was taken back."""

import json

from night import NS, Night
from small_shows import cue, document, item

from showcaller.model import parse_show
from showcaller.review.notable import notable
from showcaller.review.slips import slips
from showcaller.review.tables import cue_table, item_table
from showcaller.review.timeline import make_timeline
from showcaller.run import commands as c
from showcaller.run.compiled import compile_show
from showcaller.timing.plan import compile_plan


def test_the_first_section_once_more_costs_its_time_and_nothing_was_taken_back():
    # 120 bpm in 4/4: a bar is 2 s; the verse is 16 s of 64.
    sections = [{"bar": 1, "name": "Verse"}, {"bar": 9, "name": "Out"}]
    cues = [cue("a", "1", 0), cue("b", "2", 4), cue("c", "3", 20)]
    song = item("song", 64, cues, tempo=[{"bar": 1, "bpm": 120}], sections=sections)
    plan = compile_plan(
        parse_show(json.dumps(document([item("talk", 30, [cue("t", "0", 0)]), song, item("end", 10, [])])))
    )
    night = Night(compile_show(plan))
    night.seconds(0, c.Start("Ada"))
    night.go(0)  # the talk, 40 s of it
    night.go(40)  # the song and its first cue
    night.seconds(43, c.PlaySection("again"))  # at 56 the verse begins once more
    night.go(60)
    night.go(76)
    night.go(120)  # the end: 16 s later than without
    night.seconds(130, c.End("end"))
    assert [e.kind for r in night.records for e in r.events].count("taken_back") == 1, "so the log says it"
    assert [(v.item, v.start_ns // NS) for v in make_timeline(night.records).visits] == [
        ("talk", 0),
        ("song", 40),
        ("end", 120),
    ]
    assert [(row.item, row.actual_s) for row in item_table(plan, night.records)][1] == ("song", 80)
    assert not [n for n in notable(plan, night.records) if n.kind == "taken back"]
    rows = cue_table(plan, night.records)
    assert [row.status for row in rows] == ["go"] * 4
    assert not [slip for slip in slips(plan, night.records, rows) if slip.kind == "doubled"]
