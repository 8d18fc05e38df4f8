"""Which tour a run goes into."""

from small_shows import cue, item, show

from showcaller.archive.tour import Tour
from showcaller.calling.headless import run_headless
from showcaller.desk.journals import IMPORTED, mark_for, take_in_journals, waiting_journals

SERVER = "postgresql+psycopg://crew@server/tour"


def test_a_run_for_a_servers_tour_does_not_appear_in_the_one_on_this_machine(tmp_path):
    runs, made = tmp_path / "runs", show([item("a", 20, [cue("c", "1", 0)])])

    def ran():
        return run_headless(made, runs, 1e6, 1, 1_760_000_000 * 10**9, lambda name, share: None)

    with Tour.create(tmp_path / "a.tour", "Here") as tour:
        theirs = ran()
        mark_for(theirs, SERVER)  # made while the server was away
        (ran() / IMPORTED).write_text(f"{SERVER}\n")  # in the server's tour already
        assert waiting_journals(runs, tour.where) == []
        assert take_in_journals(tour, runs) == ([], [])
        mine = ran()
        mark_for(mine, tour.where)
        added, wrong = take_in_journals(tour, runs)
        assert ([r.run_id for r in added], wrong) == ([mine.name], [])
    assert theirs in waiting_journals(runs, SERVER), "it waits for its own"
    with Tour.create(tmp_path / "b.tour", "Copy") as other:
        added, _ = take_in_journals(other, runs)
        assert [r.run_id for r in added] == [mine.name], "those of a file go wherever they are opened"
