"""A long tour opened and reviewed, on both databases: ``python benchmarks/bench_review.py [runs] [events]``.

What a desk reads when it opens (runs, editions, learned lengths, the last notes), one run's whole review, the
tour's charts up to it, and the exports; each next to a bare query that only fetches the same rows.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "support"))

from pgserver import PgServer
from results import keep
from sqlalchemy import text

from showcaller.archive.tour import Tour, digest_of
from showcaller.calling.simulate import simulate
from showcaller.desk.areas.drift.driftview import drift_view
from showcaller.desk.memory import settle
from showcaller.desk.tour_facts import learned_lengths, read_earlier
from showcaller.desk.tour_reading import here
from showcaller.model import Show, read_show
from showcaller.resources import sample
from showcaller.review.exports import FORMATS, export_run
from showcaller.review.report import run_report, tour_report
from showcaller.run.compiled import compile_show
from showcaller.run.events import Fired, MessagesSent
from showcaller.run.runlog import Record
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan

NS = 1_000_000_000
REPEATS = 5
MOST = 8.0


def cut(records: list[Record], events: int) -> list[Record]:
    """The records up to about so many events, with the run's end kept."""
    kept, seen = [], 0
    for record in records[:-1]:
        seen += len(record.events)
        if seen > events - len(records[-1].events):
            break
        kept.append(record)
    end = records[-1]
    return [*kept, Record(len(kept) + 1, end.t_ns, end.wall_ns, end.input, end.events)]


def with_sent(record: Record) -> Record:
    """The record with what a live run's outlets say of every cue that fired."""
    sent = [
        MessagesSent(outlet="lighting-desk", cue=e.cue, late_ms=0.21, messages=1)
        for e in record.events
        if isinstance(e, Fired)
    ]
    return Record(record.seq, record.t_ns, record.wall_ns, record.input, (*record.events, *sent))


def fill(where: str, show: Show, runs: int, events: int) -> int:
    """A tour with so many runs of about so many events; how many events there are in all."""
    plan = compile_plan(show)
    compiled, sheets = compile_show(plan), compile_show_calls(plan)
    logs = [simulate(compiled, sheets, seed, digest_of(show), seed * 86_400 * NS) for seed in range(1, 6)]
    total = 0
    with Tour.create(where, "Long") as tour:
        edition = tour.add_edition(show)
        for n in range(runs):
            records = cut([with_sent(r) for r in logs[n % len(logs)]], events)
            shift = n * 86_400 * NS
            moved = [Record(r.seq, r.t_ns, r.wall_ns + shift, r.input, r.events) for r in records]
            total += sum(len(r.events) for r in moved)
            tour.add_run(edition, moved, run_id=f"run-{n}")
    return total


def took(action: Callable[[], object]) -> float:
    """The median of a few tries, seconds."""
    taken = []
    for _ in range(REPEATS):
        begun = time.perf_counter()
        action()
        taken.append(time.perf_counter() - begun)
    return median(taken)


def opened(where: str, show: Show) -> None:
    """What a desk does with a tour before it can be used."""
    with Tour.open(where) as tour:
        tour.runs()
        read_earlier(tour)
        learned_lengths(tour, show)
        tour.editions()


def bare(where: str) -> None:
    """Connect and fetch the last run's rows, and no more."""
    with Tour.open(where) as tour, tour.reading() as connection:
        last = "SELECT max(id) FROM runs"
        connection.execute(text(f"SELECT * FROM records WHERE run_id = ({last})")).all()
        connection.execute(text(f"SELECT * FROM events WHERE run_id = ({last})")).all()


def measure(name: str, where: str, show: Show, total: int, runs: int) -> dict[str, object]:
    """Measure and print one database; what is kept of it."""
    settle()  # as the desk does once its window stands; the baseline gains by it too
    bare_s = took(lambda: bare(where))
    open_s = took(lambda: opened(where, show))
    with Tour.open(where) as tour:
        run = tour.runs()[-1]
        one_s = took(lambda: run_report(tour, run, here()))
        tour_s = took(lambda: tour_report(tour, run, here()))
        view_s = took(lambda: drift_view(tour, run))
        report, across = run_report(tour, run, here()), tour_report(tour, run, here())
    print(f"{name}: {runs} runs, {total:,} events, median of {REPEATS}")
    print(f"  bare: open, fetch one run {bare_s:7.3f} s")
    print(f"  the tour opens            {open_s:7.3f} s  {open_s / bare_s:5.1f} times bare")
    print(f"  one run's review          {one_s:7.3f} s  {one_s / bare_s:5.1f} times bare")
    print(f"  the tour's charts         {tour_s:7.3f} s  {tour_s / bare_s:5.1f} times bare")
    print(f"  all that Drift shows      {view_s:7.3f} s  {view_s / bare_s:5.1f} times bare")
    if "://" in where:
        met = "met" if view_s / bare_s <= MOST else "MISSED"
        print(f"  {met}: all that Drift shows is to take at most {MOST:g} times bare")
    kept: dict[str, object] = {
        "one fetch s": round(bare_s, 4), "the tour opens, times": round(open_s / bare_s, 1),
        "one run's review, times": round(one_s / bare_s, 1), "the tour's charts, times": round(tour_s / bare_s, 1),
        "all that Drift shows, times": round(view_s / bare_s, 1),
    }  # fmt: skip
    if "://" in where:
        return kept
    with tempfile.TemporaryDirectory() as folder:
        for each in FORMATS.values():
            begun = time.perf_counter()
            export_run(report, across, each.name, Path(folder) / f"x{each.suffix}")
            print(f"  {each.name:<25} {time.perf_counter() - begun:7.3f} s")
    return kept


def main() -> None:
    """Measure and print."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    events = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    show = read_show(sample("breakwater.json"))
    server = PgServer()
    kept: dict[str, object] = {}
    try:
        with tempfile.TemporaryDirectory() as folder:
            for name, where in (
                ("SQLite", str(Path(folder) / "long.tour")),
                ("PostgreSQL", server.database()),
            ):
                total = fill(where, show, runs, events)
                kept[name] = measure(name, where, show, total, runs)
    finally:
        server.close()
    if runs >= 200:
        keep("review", {"runs": runs, "events a run": events, **kept})


if __name__ == "__main__":
    main()
