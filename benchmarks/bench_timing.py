"""Speed of the timing room, each beside a bare baseline measured in the same run.

Run: python benchmarks/bench_timing.py
"""

import gc
import random
import time
from collections.abc import Callable
from fractions import Fraction
from statistics import median

import numpy as np
from results import keep

from showcaller.model import BarAnchor, Cue, Department, Show, Song, Speaking, TempoMark
from showcaller.timing.calls.compiling import _compile_calls, compile_calls, compile_show_calls
from showcaller.timing.durations import from_three_points, left_of
from showcaller.timing.forecast import forecast, simulate
from showcaller.timing.ltc import LtcDecoder, encode
from showcaller.timing.plan import PlannedItem, compile_item, compile_plan
from showcaller.timing.timecode import frame_number, label

NAMES = ("Lights", "Video", "Spots", "Sound", "Deck", "Automation")
DEPARTMENTS = tuple(
    Department(id=n.lower(), name=n, letters=n[:2], shape="circle", hue="sky", reaction_s=Fraction(k, 10))
    for k, n in enumerate(NAMES)
)


def song(n: int, cues: int, numbers: dict[str, int]) -> Song:
    """An invented song of four minutes at 124 with its cues spread over it, one to three at an instant."""
    pick = random.Random(n)
    made: list[Cue] = []
    groups: list[int] = []
    while sum(groups) < cues:
        groups.append(min(cues - sum(groups), pick.choice((1, 1, 1, 2, 2, 3))))
    step = 122 / len(groups)
    for g, size in enumerate(groups):
        bar = max(1, round(1 + g * step + pick.uniform(-0.4, 0.4) * step))
        for _ in range(size):
            department = pick.choices(NAMES, (8, 5, 3, 2, 1, 1))[0].lower()
            numbers[department] = numbers.get(department, 0) + 1
            fires = "by itself" if pick.random() < 0.15 else "called"
            made.append(
                Cue(
                    id=f"s{n}-{len(made)}",
                    department=department,
                    number=numbers[department],
                    label=f"Cue {len(made)}",
                    anchor=BarAnchor(at="bar", bar=bar),
                    fires=fires,
                    standby_s=pick.choice((5, 8, 8, 8, 10)),
                    warning_s=30 if pick.random() < 0.05 else None,
                )
            )
    return Song(
        kind="song",
        id=f"s{n}",
        name=f"Song {n}",
        length_s=240,
        tempo=(TempoMark(bar=1, bpm=124),),
        cues=tuple(made),
    )


def show(songs: int, cues: int) -> Show:
    numbers: dict[str, int] = {}
    return Show(
        format="showcaller/show", version=2, id="bench", name="Bench", act="Act", venue="Venue",
        starts_at="20:00", departments=DEPARTMENTS, items=tuple(song(n, cues, numbers) for n in range(songs)),
    )  # fmt: skip


def far(hours: int) -> tuple[Fraction, Fraction]:
    """A second, so many hours before an item."""
    return Fraction(-3600 * (hours + 3)), Fraction(-3600 * (hours + 3) + 1)


def best_of(runs: int, work: Callable[[], object]) -> float:
    """Seconds of the fastest of some runs: what the work costs when nothing else disturbs it."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


KEPT: dict[str, object] = {}
MOST_SHOW, MOST_FORECAST = 40.0, 1.5
"""Times the baseline that the calls of a show, and a forecast, may take."""


def report(what: str, seconds: float, base: float, base_name: str, most: float | None = None) -> None:
    """Print one figure beside its baseline, and whether it takes at most so many times as long."""
    met = "" if most is None else f"{'met' if seconds / base <= most else 'MISSED'}, at most {most:g} ×"
    print(f"{what:<58} {seconds * 1e3:9.2f} ms   {seconds / base:8.1f} × {base_name:<34} {met}")
    KEPT[f"{what}, times {base_name}"] = round(seconds / base, 1)


def main() -> None:
    # As the desk while it works out calls: of what is made then next to nothing is rubbish.
    gc.disable()
    # The baseline for compiling is reading the same cues: sorting their instants, as exact fractions.
    numbers: dict[str, int] = {}
    songs = [compile_item(song(n, 60, numbers), "25") for n in range(12)]
    speaking = Speaking()

    def sort_instants() -> None:
        for planned in songs:
            sorted(Fraction(c.at_s.numerator, c.at_s.denominator) for c in planned.cues)

    base = best_of(20, sort_instants) / len(songs)

    def song_cost(planned: PlannedItem) -> float:
        # A stretch taken long before the song changes nothing but the key under which it is remembered.
        return min(
            best_of(1, lambda k=k: compile_calls(planned, DEPARTMENTS, speaking, (far(k),))) for k in range(3)
        )

    costs = [song_cost(planned) for planned in songs]
    report("calls of a song of 60 cues (worst of 12)", max(costs), base, "sorting its instants")

    for count, cues in ((84, 60), (100, 50)):
        big = show(count, cues)
        plan = compile_plan(big)
        bases, colds = [], []
        for _ in range(5):  # turn by turn, so that both meet the same machine
            _compile_calls.cache_clear()
            bases.append(
                best_of(1, lambda plan=plan: [sorted(Fraction(c.at_s) for c in i.cues) for i in plan.items])
            )
            colds.append(best_of(1, lambda plan=plan: compile_show_calls(plan)))
        base, cold = median(bases), median(colds)
        what = f"calls of a show of {count} × {cues} cues"
        report(what, cold, base, "sorting its instants", MOST_SHOW if (count, cues) == (84, 60) else None)

    items = list(big.items)
    edited = items[40]
    cue = edited.cues[30]
    moved = cue.model_copy(update={"anchor": BarAnchor(at="bar", bar=cue.anchor.bar + 1)})
    cues = (*edited.cues[:30], moved, *edited.cues[31:])
    items[40] = edited.model_copy(update={"cues": cues})
    after = big.model_copy(update={"items": tuple(items)})
    item_cost = best_of(1, lambda: compile_calls(compile_item(items[40], "25"), DEPARTMENTS, speaking))
    report("one cue edited: plan and calls of its song", item_cost, base / 84, "sorting its instants")
    whole = best_of(1, lambda: compile_show_calls(compile_plan(after)))
    report("one cue edited: plan and calls of the show", whole, base, "sorting all instants")

    pick = random.Random(1)
    lengths = [
        from_three_points(180, 180 + pick.uniform(5, 20), 220 + pick.uniform(0, 60)) for _ in range(30)
    ]
    shapes = np.array([d.shape() for d in lengths])
    low = np.array([d.low_s for d in lengths])
    span = np.array([d.high_s - d.low_s for d in lengths])

    def bare() -> None:
        generator = np.random.default_rng(1)
        total = np.zeros(10_000)
        for n in range(30):
            total += generator.beta(*shapes[n], 10_000) * span[n] + low[n]

    base = best_of(7, bare)
    ours = best_of(7, lambda: simulate(lengths, np.random.default_rng(1)))
    report("10,000 simulated ends of 30 items", ours, base, "bare numpy sampling and summing", MOST_FORECAST)
    skewed = [*lengths[:29], from_three_points(60, 90, 3000)]
    ours = best_of(7, lambda: forecast(0, skewed, 7000))
    report(
        "a forecast of 30 items, one of them skewed",
        ours,
        base,
        "bare numpy sampling and summing",
        MOST_FORECAST,
    )

    def live() -> None:
        forecast(100, [left_of(lengths[0], 100), *lengths[1:]], 7000)

    base = best_of(50, lambda: sum(d.mean_s for d in lengths))
    report("a live update of the forecast", best_of(50, live), base, "summing 30 means")

    base = best_of(5, lambda: [divmod(n, 25) for n in range(10_000)])
    ours = best_of(
        5, lambda: [frame_number(label(n * 251, "29.97 drop"), "29.97 drop") for n in range(10_000)]
    )
    report("10,000 frames to labels and back", ours, base, "10,000 divmods")

    sound = encode(0, 250, "25")
    base = best_of(5, lambda: np.convolve(sound, np.ones(3)))
    ours = best_of(5, lambda: LtcDecoder("25").feed(sound))
    report("10 s of linear timecode read", ours, base, "one convolution over it")
    keep("timing", KEPT)


if __name__ == "__main__":
    main()
