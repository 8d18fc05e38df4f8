"""The sample show, called by a seeded hand, kept in a tour and reviewed out of it."""

import random
from pathlib import Path

import pytest
from night import DOORS, NS, Night

from showcaller.archive.tour import Tour
from showcaller.model import read_show
from showcaller.review.stats import department_stats
from showcaller.review.tables import cue_table, item_table
from showcaller.review.waterfall import waterfall
from showcaller.run import commands as c
from showcaller.run.compiled import compile_show
from showcaller.timing.plan import compile_plan

SAMPLE = Path(__file__).parents[2] / "sample_shows" / "breakwater.json"


@pytest.mark.parametrize("seed", [1, 2])
def test_a_whole_night_from_the_plan_to_the_review(tmp_path: Path, seed: int) -> None:
    show = read_show(SAMPLE)
    plan = compile_plan(show)
    night = Night(compile_show(plan))
    hand = random.Random(seed)
    night.seconds(0, c.Start("Ada", muted=True, simulated=seed))
    item_start_s = 100 + hand.uniform(-5, 40)
    for planned in plan.items:
        t_s = item_start_s
        for go in planned.goes:
            t_s = max(t_s, item_start_s + float(go.at_s) + hand.gauss(0.05, 0.15))
            for clearance in show.clearances:
                night.seconds(t_s, c.Clear(clearance.id, True, 4.0))
            events = night.at(round(t_s * NS), c.Go(go.id, confirmed=True))
            assert "refused" not in {e.kind for e in events}, events
        item_start_s = max(t_s, item_start_s + float(planned.item.length_s) * hand.gauss(1, 0.02))
    night.seconds(item_start_s, c.End("curtain"))
    with Tour.create(tmp_path / "x.tour", "Tour") as tour:
        run = tour.add_run(tour.add_edition(show), night.records, run_id="a1")
        records = tour.records(run)
        assert tour.show_of(run.edition) == show
    assert run.simulated == seed
    fall = waterfall(plan, records, planned_start_wall_ns=DOORS + 100 * NS)
    assert fall.total_ns == round(item_start_s * NS) - 100 * NS - plan.length_s * NS
    assert {bar.label for bar in fall.bars()} == {"late start", "songs", "talks", "walk-ons", "changeovers"}
    items = item_table(plan, records)
    assert all(row.status == "played" for row in items)
    cues = cue_table(plan, records)
    assert [row.status for row in cues if row.status not in ("go", "automatic")] == []
    assert len(cues) == len(list(show.all_cues()))
    assert {row.late_s for row in cues if row.status == "automatic"} == {0.0}
    for figures in department_stats(cues):
        assert figures.worst_s is None or abs(figures.worst_s) < 1
