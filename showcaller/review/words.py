"""A run in a sentence or two."""

from collections import Counter
from datetime import datetime, time, timedelta, tzinfo

from showcaller.model.clockwords import m_ss
from showcaller.review.timeline import NS
from showcaller.review.waterfall import Part, Waterfall

_SMALL = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty")
_ONE = {"song": "song", "talk": "talk", "walk-on": "walk", "changeover": "changeover", "interval": "interval"}
_ITEM = {**_ONE, "walk-on": "walk-on"}
_TOGETHER = ("cut", "not reached")
_CAUSES = 3
"""A sentence with more causes than this is a table."""


HOLDS_S = 60
"""A show within a minute of its plan held it (our choice)."""


def summary_sentence(fall: Waterfall, zone: tzinfo, curfew: str | None = None) -> str:
    """When it ended, when it should have, by how much, and most of why; and whether the curfew was made.

    Args:
        fall: the run's waterfall.
        zone: the venue's time zone.
        curfew: the show's, ``hh:mm``; counted only for one that kept its evening and was not stopped early.
    """
    return f"{_ended(fall, zone)}{_curfew(fall, zone, curfew)}"


def no_offer_words(fall: Waterfall) -> str:
    """What stands where nothing is offered to be planned otherwise."""
    if not fall.finished:
        return "This show was stopped early: it says nothing about the plan."
    if abs(fall.total_ns) < HOLDS_S * NS:
        return "The plan holds: nothing to change."
    return "Nothing to change yet: what differed did not happen on enough nights to plan by."


def curfew_wall_ns(planned_start_wall_ns: int, curfew: str, zone: tzinfo) -> int:
    """The curfew of a show that was to start at an instant, Unix time in ns: a time of day before the
    start's is on the day after."""
    start = datetime.fromtimestamp(planned_start_wall_ns // NS, zone)
    at = datetime.combine(start.date(), time.fromisoformat(curfew), zone)
    return int((at if at > start else at + timedelta(days=1)).timestamp()) * NS


def _curfew(fall: Waterfall, zone: tzinfo, curfew: str | None) -> str:
    if curfew is None or fall.planned_start_wall_ns is None or not fall.finished:
        return ""
    spare_s = round((curfew_wall_ns(fall.planned_start_wall_ns, curfew, zone) - fall.end_wall_ns) / NS)
    made = f"made, {m_ss(spare_s)} in hand" if spare_s >= 0 else f"missed by {m_ss(-spare_s)}"
    return f" Curfew {curfew[:5]} {made}."


def _ended(fall: Waterfall, zone: tzinfo) -> str:
    verb = "last note" if fall.by_last_note else "ended" if fall.finished else "stopped early at"
    end = f"{verb} {_time(fall.end_wall_ns, zone)}"
    if fall.planned_start_wall_ns is None:
        lengths = round(fall.actual_length_ns / NS), round(fall.planned_length_ns / NS)
        first = f"{end} after {m_ss(lengths[0])}, planned {m_ss(lengths[1])}."
    else:
        first = f"{end}, planned {_time(fall.planned_end_wall_ns, zone)}."
    total_s = round(fall.total_ns / NS)
    if total_s == 0:
        return f"{first} On time."
    amount = duration(abs(total_s))
    over = "over" if total_s > 0 else "under"
    return f"{first} {amount[0].upper()}{amount[1:]} {over}: mostly {', '.join(_causes(fall))}."


def duration(seconds: int) -> str:
    """Seconds in words, as said on a headset: ``two minutes four``; up to 59 hours."""
    hours, rest = divmod(seconds, 3600)
    minutes, rest = divmod(rest, 60)
    words = []
    if hours:
        words.append(f"{number(hours)} hour{'s' if hours > 1 else ''}")
    if minutes:
        words.append(f"{number(minutes)} minute{'s' if minutes > 1 else ''}")
    if rest:
        words.append(number(rest) if minutes else f"{number(rest)} second{'s' if rest > 1 else ''}")
    return " ".join(words) or "nothing"


def number(value: int) -> str:
    """0 to 59 in words, larger in figures."""
    if value < 20:
        return _SMALL[value]
    if value < 60:
        tens, ones = divmod(value, 10)
        return _TENS[tens - 2] + (f"-{_SMALL[ones]}" if ones else "")
    return str(value)


def _time(wall_ns: int, zone: tzinfo) -> str:
    return datetime.fromtimestamp(round(wall_ns / NS), zone).strftime("%H:%M:%S")


def _causes(fall: Waterfall) -> list[str]:
    """The fewest causes, largest first, that make up more than half of the total. What was cut or not reached
    is one cause, however many items it is: a count of some of them would be taken for all."""
    sign = 1 if fall.total_ns > 0 else -1
    mine = [p for p in fall.parts if p.ns * sign > 0]
    causes = [[p] for p in mine if p.kind not in _TOGETHER]
    causes += [found for kind in _TOGETHER if (found := [p for p in mine if p.kind == kind])]
    causes.sort(key=lambda parts: -sum(p.ns for p in parts) * sign)
    chosen: list[list[Part]] = []
    for parts in causes[:_CAUSES]:
        if 2 * sum(p.ns for c in chosen for p in c) * sign > fall.total_ns * sign:
            break
        chosen.append(parts)
    counted = Counter(_phrase(parts[0], sign) for parts in chosen if parts[0].kind not in _TOGETHER)
    said = {_phrase(p[0], sign): _all_of(p) for p in chosen if p[0].kind in _TOGETHER}
    order = dict.fromkeys(_phrase(parts[0], sign) for parts in chosen)
    return [said.get(phrase) or _counted(phrase, counted[phrase]) for phrase in order]


def _all_of(parts: list[Part]) -> str:
    """``six songs not reached``; of several kinds ``nine items not reached (six songs, three talks)``."""
    kinds = Counter(_ITEM.get(part.item_kind or "", "item") for part in parts)
    each = [f"{number(n)} {kind}{'s' if n > 1 else ''}" for kind, n in kinds.most_common()]
    if len(each) == 1:
        return f"{each[0]} {parts[0].kind}"
    return f"{number(len(parts))} items {parts[0].kind} ({', '.join(each)})"


def _phrase(part: Part, sign: int) -> str:
    kind = _ONE.get(part.item_kind or "", "item")
    match part.kind:
        case "late start":
            return "a late start" if sign > 0 else "an early start"
        case "item":
            return f"# late {kind}" if kind == "walk" and sign > 0 else f"# {kind}"
        case "cut" | "not reached":
            return part.kind
        case "place moved":
            return f"# {kind} played again" if sign > 0 else f"# {kind} joined midway"
        case "hold":
            return part.name.replace("hold: ", "a hold for ") if ": " in part.name else "a hold"
        case "unplanned":
            return f"“{part.name}”, which was not planned"
        case "gap":
            return "time between items"


def _counted(phrase: str, n: int) -> str:
    if not phrase.startswith("# "):
        return phrase if n == 1 else f"{phrase} ({number(n)} times)"
    words = phrase[2:].split()
    if n > 1:
        noun = words.index("walk") if "walk" in words else 0
        words[noun] += "s"
    return f"{number(n)} {' '.join(words)}"
