"""The sample tour: the sample show with three earlier runs, made by the simulator and labelled so."""

import shutil
from datetime import datetime, timedelta
from pathlib import Path

from showcaller.archive.tour import Tour, digest_of
from showcaller.calling.simulate import simulate
from showcaller.model import Show, read_show
from showcaller.resources import sample
from showcaller.run.compiled import compile_show
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan

SHOW_FILE = "breakwater.json"
SEEDS = (11, 12, 13)
_FIRST_EVENING = datetime(2026, 6, 5)  # noqa: DTZ001 - local time at an invented place


def evening_ns(show: Show, day: datetime, before_s: int = 15) -> int:
    """The instant ``before_s`` ahead of the show's planned start on a day, Unix ns."""
    parts = [int(p) for p in show.starts_at.split(":")]
    at = day.replace(hour=parts[0], minute=parts[1], second=0, microsecond=0)
    return int((at - timedelta(seconds=before_s)).timestamp()) * 1_000_000_000


def copy_sample(folder: Path) -> Path:
    """The sample show and its media in a folder of the user's own, to be changed; what is there is kept."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / SHOW_FILE
    if not path.exists():
        shutil.copyfile(sample(SHOW_FILE), path)
    for file in sorted(sample("media").iterdir()):
        mine = folder / "media" / file.name
        if not mine.exists():
            mine.parent.mkdir(exist_ok=True)
            shutil.copyfile(file, mine)
    return path


def make_sample_tour(show_path: Path, tour_path: Path) -> None:
    """The tour file with three simulated runs on three evenings.

    Raises:
        TourError: it cannot be written.
    """
    show = read_show(show_path)
    plan = compile_plan(show)
    compiled, sheets = compile_show(plan), compile_show_calls(plan)
    with Tour.create(tour_path, show.name) as tour:
        edition = tour.add_edition(show)
        for n, seed in enumerate(SEEDS):
            wall0_ns = evening_ns(show, _FIRST_EVENING + timedelta(days=3 * n))
            records = simulate(compiled, sheets, seed, digest_of(show), wall0_ns)
            run = tour.add_run(edition, records, run_id=f"simulated-{seed}")
            # Nobody has called this tour yet: its charts are made of these, and say that they are simulated.
            tour.add_remark(run, records[0].t_ns, "put into the tour's charts", kind="counted", by="sample")
