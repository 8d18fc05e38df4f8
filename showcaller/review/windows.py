"""What part of a run is asked about: a section, bars, a time of day, the last seconds. Pure."""

import re
from collections.abc import Sequence
from datetime import datetime, timedelta, tzinfo
from fractions import Fraction

from showcaller.model import Song
from showcaller.review.clock_path import Span, Stretch, spans_in
from showcaller.review.errors import ReviewError
from showcaller.review.sections import section_bounds
from showcaller.run.compiled import NS
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, PlannedItem
from showcaller.values import Struct

_BARS = re.compile(r"bars? (\d+)(?:\s*(?:-|–|to)\s*(\d+))?")
_DAY = re.compile(r"(\d{1,2}:\d{2}(?::\d{2})?)\s*(?:-|–|to)\s*(\d{1,2}:\d{2}(?::\d{2})?)")
_LAST = re.compile(r"last (\d+)(?: ?s| seconds?)?")
EXAMPLES = "chorus 2; chorus 2 of salt letters; bars 57-72; 21:14:00-21:15:30; last 30"


class RunPart(Struct, frozen=True):
    """Spans of the run that a question names, and what it was taken to mean."""

    words: str
    spans: tuple[Span, ...]


def asked(
    text: str, plan: Plan, path: Sequence[Stretch], records: Sequence[Record], zone: tzinfo, item: str = ""
) -> RunPart:
    """The part of a run meant by ``chorus 2``, ``bars 57-72``, ``21:14-21:15`` or ``last 30`` (seconds
    before the end of its log); ``item``: only items whose name holds these letters.

    Raises:
        ReviewError: it names nothing of this show.
    """
    wanted = " ".join(text.lower().split())
    if not item and " of " in wanted:
        wanted, _, item = wanted.partition(" of ")
    items = [(n, p) for n, p in enumerate(plan.items) if item.lower() in p.item.name.lower()]
    played = {part.item for part in path}
    if not items:
        raise ReviewError(f"no item's name holds '{item}'; type a part of one in the running order")
    if item and not any(n in played for n, _ in items):
        names = ", ".join(plan.items[n].item.name for n in sorted(played)) or "nothing"
        raise ReviewError(f"{items[0][1].item.name} was not played that night; played were: {names}")
    items = [one for one in items if one[0] in played] or items
    if found := _BARS.fullmatch(wanted):
        return _bars(int(found[1]), int(found[2] or found[1]), items, path)
    if found := _DAY.fullmatch(wanted):
        return _time_of_day(found[1], found[2], records, zone)
    if found := _LAST.fullmatch(wanted):
        end_ns = records[-1].t_ns if records else 0
        return RunPart(f"the last {found[1]} s", ((max(0, end_ns - int(found[1]) * NS), end_ns),))
    return _section(wanted, items, path)


def counted_sections(planned: PlannedItem) -> list[tuple[str, Fraction, Fraction]]:
    """(name, from, to in s) of every section; a name that comes again is counted: ``Chorus 1``, ``Chorus
    2``."""
    bounds = section_bounds(planned)
    names = [name for name, _ in bounds[:-1]]
    found = []
    for n, name in enumerate(names):
        same = [i for i, other in enumerate(names) if other.lower() == name.lower()]
        counted = name if len(same) == 1 else f"{name} {same.index(n) + 1}"
        found.append((counted, bounds[n][1], bounds[n + 1][1]))
    return found


def _section(wanted: str, items: Sequence[tuple[int, PlannedItem]], path: Sequence[Stretch]) -> RunPart:
    spans: list[Span] = []
    names: list[str] = []
    known: dict[str, None] = {}
    for n, planned in items:
        for name, from_s, to_s in counted_sections(planned):
            known[name] = None
            if wanted and (name.lower() == wanted or _without_count(name) == wanted):
                spans += spans_in(path, n, from_s, to_s)
                names.append(f"{name} of {planned.item.name}")
    if not names:
        have = ", ".join(known) or "none"
        raise ReviewError(f"no section '{wanted}'; there are {have}; or ask for {EXAMPLES}")
    return RunPart(", ".join(names), tuple(sorted(spans)))


def _without_count(name: str) -> str:
    return re.sub(r" \d+$", "", name.lower())


def _bars(
    first: int, last: int, items: Sequence[tuple[int, PlannedItem]], path: Sequence[Stretch]
) -> RunPart:
    if not 1 <= first <= last <= 9999:
        raise ReviewError(f"bars {first} to {last} are none; bars count from 1, such as bars 57-72")
    spans: list[Span] = []
    longest = 0
    for n, planned in items:
        song = planned.item
        if not isinstance(song, Song) or planned.tempo is None:
            continue
        longest = max(longest, planned.bar_number_at(Fraction(song.length_s) - Fraction(1, 1000)) or 0)
        from_s, to_s = (song.downbeat_s + planned.tempo.seconds(bar) for bar in (first, last + 1))
        spans += spans_in(path, n, from_s, to_s)
    if not spans and first > longest:
        name = f"{items[0][1].item.name} has" if len(items) == 1 else "no song that was played has more than"
        raise ReviewError(f"there is no bar {first}: {name} {longest} bars")
    return RunPart(f"bar {first} to the end of {last}", tuple(sorted(spans)))


def _time_of_day(first: str, last: str, records: Sequence[Record], zone: tzinfo) -> RunPart:
    """A time of day as the log's own clock has it, on the day of the run; past midnight it is the next."""
    if not records:
        return RunPart(f"{first} to {last}", ())
    begun = datetime.fromtimestamp(records[0].wall_ns / 1e9, zone)
    instants = []
    for words in (first, last):
        parts = [int(x) for x in words.split(":")]
        if parts[0] > 23 or any(x > 59 for x in parts[1:]):
            raise ReviewError(f"'{words}' is not a time of day; write 21:14 or 21:14:30")
        at = begun.replace(
            hour=parts[0], minute=parts[1], second=parts[2] if len(parts) > 2 else 0, microsecond=0
        )
        if at < begun - timedelta(hours=6):
            at += timedelta(days=1)
        instants.append(_on_run_clock(round(at.timestamp() * 1e9), records))
    if instants[1] < instants[0]:
        raise ReviewError(f"{last} is before {first}; write the earlier one first")
    return RunPart(f"{first} to {last}", ((instants[0], instants[1]),))


def _on_run_clock(wall_ns: int, records: Sequence[Record]) -> int:
    """The run's clock at a time of day, counted from the record before it: the machine's clock may have
    been set on the way."""
    later = next((n for n, r in enumerate(records) if r.wall_ns > wall_ns), len(records))
    near = records[max(0, later - 1)]
    return near.t_ns + wall_ns - near.wall_ns
