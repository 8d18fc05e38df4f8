"""The sample tour: three runs that say they are simulated, the same on every machine."""

from showcaller.archive.tour import Tour
from showcaller.demo.sample import SEEDS, copy_sample, make_sample_tour
from showcaller.desk.tour_reading import fall_of, plan_of


def test_the_sample_tour_has_three_finished_runs_labelled_as_simulated(tmp_path):
    path = copy_sample(tmp_path)
    make_sample_tour(path, tmp_path / "a.tour")
    make_sample_tour(path, tmp_path / "b.tour")
    with Tour.open(tmp_path / "a.tour") as first, Tour.open(tmp_path / "b.tour") as second:
        runs = first.runs()
        assert [(r.simulated, r.finished, r.edition) for r in runs] == [(seed, True, 1) for seed in SEEDS]
        for run, again in zip(runs, second.runs(), strict=True):
            assert first.records(run) == second.records(again)
            fall = fall_of(plan_of(first, run), run, first.records(run))
            # A show of an hour and three quarters that ends within ten minutes of its plan.
            assert abs(fall.total_ns) < 600 * 10**9


def test_what_the_user_changed_in_their_copy_is_kept(tmp_path):
    path = copy_sample(tmp_path)
    path.write_text("mine")
    (tmp_path / "media" / "tide.mp4").write_text("mine too")
    assert copy_sample(tmp_path).read_text() == "mine"
    assert (tmp_path / "media" / "tide.mp4").read_text() == "mine too"
