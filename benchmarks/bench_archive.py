"""How fast a run goes into the tour and comes back: ``python benchmarks/bench_archive.py [events]``.

The measure beside it is the driver's own ``executemany`` (sqlite3, psycopg) putting the same rows into the
same tables.
"""

import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "support"))

import psycopg
from pgserver import PgServer
from results import keep

from showcaller.archive.rows import event_rows, record_rows
from showcaller.archive.tour import Tour
from showcaller.model import Show
from showcaller.run.codec import event_from, input_from
from showcaller.run.commands import Go
from showcaller.run.runlog import Record

NS = 1_000_000_000
REPEATS = 5
MOST_FILE, MOST_SERVER = 1.5, 1.5


def make_records(events: int) -> list[Record]:
    """A run with about ``events`` events: each cue is said, answered, fired and sent twice."""
    records = [
        Record(
            1,
            NS,
            NS,
            input_from({"kind": "start"}),
            (event_from({"kind": "run_started", "caller": "bench"}),),
        )
    ]
    for n in range(events // 5):
        seq, t_ns = n + 2, (n + 2) * NS // 10
        cue = f"song-{n % 19}-lx-{n}"
        at_s = n / 10
        happened = (
            {"kind": "said", "what": "standby", "item": f"song-{n % 19}", "line": f"line-{n}", "cues": [cue]},
            {"kind": "answered", "departments": ["lights"], "cues": [cue]},
            {
                "kind": "fired", "item": f"song-{n % 19}", "cue": cue, "go": cue, "planned_s": at_s,
                "actual_s": at_s + 0.123456, "by": "go",
            },
            {"kind": "sent", "outlet": "lighting-desk", "cue": cue, "late_ms": 0.21, "messages": 1},
            {"kind": "sent", "outlet": "wall-processor", "cue": cue, "late_ms": 0.34, "messages": 1},
        )  # fmt: skip
        records.append(Record(seq, t_ns, t_ns + NS, Go(cue), tuple(map(event_from, happened))))
    return records


def seconds(action: Callable[[], object]) -> float:
    """How long it takes."""
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def bare(path: Path, rows: dict[str, list[tuple[object, ...]]]) -> None:
    """The same rows by ``executemany`` and nothing else; the rows are ready, foreign keys are held."""
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA foreign_keys = ON")
    with connection:
        for table, values in rows.items():
            marks = ", ".join("?" * len(values[0]))
            connection.executemany(f"INSERT INTO {table} VALUES ({marks})", values)
    connection.close()


SHOW = Show.model_validate(
    {
        "format": "showcaller/show", "version": 1, "id": "bench", "name": "Bench", "act": "Nobody",
        "venue": "Nowhere", "starts_at": "20:00",
        "departments": [
            {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"}
        ],
        "items": [{"kind": "talk", "id": "talk", "name": "Talk", "length_s": 60}],
    }
)  # fmt: skip


def bare_server(where: str, rows: dict[str, list[tuple[object, ...]]]) -> None:
    """The same rows by psycopg's own ``executemany``."""
    address = where.replace("postgresql+psycopg", "postgresql")
    with psycopg.connect(address) as connection, connection.cursor() as cursor:
        for table, values in rows.items():
            marks = ", ".join(["%s"] * len(values[0]))
            cursor.executemany(f"INSERT INTO {table} VALUES ({marks})".encode(), values)


def bare_file(where: str, rows: dict[str, list[tuple[object, ...]]]) -> None:
    bare(Path(where), rows)


def taking_in(
    name: str, fresh: Callable[[], str], plain: Callable[..., None], count: int, most: float
) -> dict[str, object]:
    """A run taken into a tour, and the same rows put there by the bare driver."""
    records = make_records(count)
    total = sum(len(r.events) for r in records)
    rows = {"records": list(record_rows(1, records[1:])), "events": list(event_rows(1, records[1:]))}
    places = [fresh() for _ in range(REPEATS)]
    for place in places:
        with Tour.create(place, "Bare") as tour:
            tour.add_run(tour.add_edition(SHOW), records[:1], run_id="bare")
    ours, theirs = [], []
    with Tour.create(fresh(), "Bench") as tour:
        edition = tour.add_edition(SHOW)
        for n, place in enumerate(places):  # turn by turn, so that both meet the same machine
            ours.append(seconds(lambda n=n: tour.add_run(edition, records, run_id=f"run-{n}")))  # type: ignore[misc]
            theirs.append(seconds(lambda place=place: plain(place, rows)))  # type: ignore[misc]
        tour_s, bare_s = median(ours), median(theirs)
        again_s = median(
            seconds(lambda n=n: tour.add_run(edition, records, run_id=f"run-{n}"))  # type: ignore[misc]
            for n in range(REPEATS)
        )
        run = tour.runs()[0]
        back_s = median(seconds(lambda: tour.records(run)) for _ in range(REPEATS))
    print(f"{name}: {total} events in {len(records)} records, median of {REPEATS}")
    print(f"  add_run            {tour_s:7.3f} s  {total / tour_s:10,.0f} events/s")
    print(f"  bare executemany   {bare_s:7.3f} s  {total / bare_s:10,.0f} events/s")
    met = "met" if tour_s / bare_s <= most else "MISSED"
    print(f"  {met:<18} add_run takes {tour_s / bare_s:.2f} times as long (at most {most:g})")
    print(f"  add_run, known run {again_s:7.3f} s")
    print(f"  records back       {back_s:7.3f} s  {total / back_s:10,.0f} events/s")
    return {
        "add_run s": round(tour_s, 3), "bare executemany s": round(bare_s, 3),
        "times": round(tour_s / bare_s, 2), "records back s": round(back_s, 3),
    }  # fmt: skip


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50_000
    kept: dict[str, object] = {"events": count}
    with tempfile.TemporaryDirectory() as folder:
        names = iter(range(1000))
        kept["SQLite"] = taking_in(
            "SQLite", lambda: str(Path(folder) / f"{next(names)}.tour"), bare_file, count, MOST_FILE
        )
    server = PgServer()
    try:
        kept["PostgreSQL"] = taking_in("PostgreSQL", server.database, bare_server, count, MOST_SERVER)
    finally:
        server.close()
    if count >= 50_000:
        keep("archive", kept)


if __name__ == "__main__":
    main()
