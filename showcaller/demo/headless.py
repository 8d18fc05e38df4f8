"""The demo without a screen: a whole show through the real engine, and what came of it on disk."""

import shutil
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.calling.headless import run_headless
from showcaller.demo.midi_server import midi_server
from showcaller.demo.receiver import Receiver
from showcaller.demo.sample import SHOW_FILE, copy_sample, evening_ns, make_sample_tour
from showcaller.demo.script import script_lines
from showcaller.desk.journals import take_in_journals
from showcaller.desk.tour_reading import fall_of, plan_of
from showcaller.desk.tourfile import paths_for
from showcaller.model import read_show
from showcaller.review.export import to_csv, to_json
from showcaller.review.exports import FORMATS, export_run
from showcaller.review.report import run_report, tour_report
from showcaller.review.stats import department_stats
from showcaller.review.tables import cue_table, item_table
from showcaller.review.words import summary_sentence
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.planned_start import zone_of

Say = Callable[[str], None]


def run_demo(folder: Path, speed: float, seed: int, say: Say, progress: Callable[[str, float], None]) -> None:
    """Run the sample show and write everything into ``folder`` (emptied of an earlier demo first).

    Raises:
        ReceiverError, LaunchError, NoEngine, HeadlessError, TourError, OSError: in one sentence each.
    """
    for old in (folder / "breakwater.runs", folder / "pictures", folder / "media"):
        shutil.rmtree(old, ignore_errors=True)
    for old in (folder / SHOW_FILE, folder / "breakwater.tour"):
        old.unlink(missing_ok=True)
    show_path = copy_sample(folder)
    show = read_show(show_path)
    paths = paths_for(show_path)
    make_sample_tour(show_path, paths.tour)
    started = time.monotonic()
    with midi_server() as midi:
        receiver = Receiver(show)
        try:
            if midi:
                say(midi)
            for line in receiver.without:
                say(line)
            wall0_ns = evening_ns(show, datetime.now(zone_of(show)))
            run_headless(show, paths.runs, speed, seed, wall0_ns, progress)
        finally:
            receiver.close()
    receiver.write(folder / "received.txt")
    say(f"The show ran in {time.monotonic() - started:.0f} s. Received: " + ", ".join(
        f"{receiver.counts[o.id]} by {o.name}" for o in show.outlets
    ))  # fmt: skip
    with Tour.open(paths.tour) as tour:
        added, wrong = take_in_journals(tour, paths.runs)
        for line in wrong:
            say(line)
        _write_review(tour, added[-1], folder, say)
        _write_pictures(tour, added[-1], show_path, say)


def _write_review(tour: Tour, run: Run, folder: Path, say: Say) -> None:
    plan = plan_of(tour, run)
    records = tour.records(run)
    script = "\n".join(script_lines(plan, compile_show_calls(plan))) + "\n"
    (folder / "call-script.txt").write_text(script, encoding="utf-8")
    fall = fall_of(plan, run, records)
    items, cues = item_table(plan, records), cue_table(plan, records)
    (folder / "review.json").write_text(to_json(fall, items, cues, department_stats(cues)), encoding="utf-8")
    (folder / "review-items.csv").write_text(to_csv(items), encoding="utf-8", newline="")
    (folder / "review-cues.csv").write_text(to_csv(cues), encoding="utf-8", newline="")
    zone = zone_of(plan.show)
    report, across = run_report(tour, run, zone), tour_report(tour, run, zone)
    for name in ("pdf", "html", "vtt"):
        export_run(report, across, name, folder / f"show-report{FORMATS[name].suffix}")
    say(f"Show {run.number} (simulated): {summary_sentence(fall, zone)}")


def _write_pictures(tour: Tour, run: Run, show_path: Path, say: Say) -> None:
    # Imported here: without Qt's system libraries everything else of the demo still works.
    from showcaller.demo.pictures import take_pictures  # noqa: PLC0415

    pictures = show_path.parent / "pictures"
    pictures.mkdir(exist_ok=True)
    say(f"{len(take_pictures(tour, run, pictures, show_path))} pictures of the desk in {pictures}")
