"""Verdicts on moments of a run: good, bad, an idea; where in the song, and how it was before. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import groupby
from operator import attrgetter
from typing import cast, get_args

from showcaller.archive.values import Remark, Verdict
from showcaller.review.clock_path import Stretch, place_at
from showcaller.review.windows import counted_sections
from showcaller.run.compiled import NS
from showcaller.timing.plan import Plan
from showcaller.values import Struct

OPEN_AGAIN = "open again"
"""What is written where something settled is to be decided once more."""
TAKEN_BACK = "taken back"
"""What is written where a verdict was a press by mistake: it counts no more, both stay in the tour."""
_APPLIED = "applied to the book"
_NTH = ("", "", "two", "three", "four", "five", "six", "seven", "eight", "nine")


class Judged(Struct, frozen=True):
    """A verdict: on which run's moment, where that is in the show, with its word.

    Attributes:
        item: the item's id and, in ``name``, its name; empty between items.
        at_s: on the item's clock; None between items.
        section: counted where its name comes again: ``Chorus 2``.
        settled: what became of it, in words; empty while it is open.
    """

    run: int
    t_ns: int
    verdict: Verdict
    word: str
    by: str
    item: str = ""
    name: str = ""
    at_s: float | None = None
    section: str = ""
    bar: int | None = None
    settled: str = ""


def judged(run: int, remarks: Sequence[Remark], plan: Plan, path: Sequence[Stretch]) -> tuple[Judged, ...]:
    """The verdicts of a run in the order of its clock. Of one moment the last verdict counts, with the last
    word on it."""
    settled = settled_in(remarks)
    found: dict[int, Judged] = {}
    for remark in in_force(remarks):
        if remark.kind not in get_args(Verdict):
            continue
        verdict = cast("Verdict", remark.kind)
        word = "" if remark.text == remark.kind else remark.text
        item, name, at_s, section, bar = _place(plan, path, remark.t_ns)
        found[remark.t_ns] = Judged(
            run, remark.t_ns, verdict, word, remark.by, item, name, at_s, section, bar,
            settled.get(remark.t_ns, ""),
        )  # fmt: skip
    return tuple(sorted(found.values(), key=lambda one: one.t_ns))


def applied_words(does: str) -> str:
    """What is written, and said, where a change went into the book."""
    return f"{_APPLIED}: {does}"


def is_applied(settled: str) -> bool:
    """Whether that is what was decided."""
    return settled.startswith(_APPLIED)


def in_force(remarks: Iterable[Remark]) -> list[Remark]:
    """The remarks without verdicts that were taken back, and without the words that took them back.

    Taken back is the last verdict of that moment, with the words on it: one of another kind or person that
    was there before stands again.
    """
    kept: list[Remark] = []
    for remark in remarks:
        if remark.kind != "decided" or remark.text != TAKEN_BACK:
            kept.append(remark)
            continue
        there = [r for r in kept if r.t_ns == remark.t_ns and r.kind in get_args(Verdict)]
        _, last = next(groupby(reversed(there), key=attrgetter("kind", "by")), ("", iter(())))
        gone = list(last)
        kept = [r for r in kept if not any(r is one for one in gone)]
    return kept


def settled_in(remarks: Iterable[Remark]) -> Mapping[int, str]:
    """Moment → what was decided there last; what is open again is not among them."""
    last = {r.t_ns: r.text for r in remarks if r.kind == "decided" and r.text != TAKEN_BACK}
    return {t_ns: text for t_ns, text in last.items() if text != OPEN_AGAIN}


def _place(plan: Plan, path: Sequence[Stretch], t_ns: int) -> tuple[str, str, float | None, str, int | None]:
    place = place_at(path, t_ns)
    if place is None:
        return "", "", None, "", None
    planned, at_s = plan.items[place[0]], place[1] / NS
    section = next((name for name, a, b in counted_sections(planned) if float(a) <= at_s < float(b)), "")
    position = planned.bar_at(Fraction(place[1], NS))
    bar = None if position is None or position[0] < 1 else position[0]
    return planned.item.id, planned.item.name, at_s, section, bar


def nights_words(one: Judged, tour: Iterable[Judged], runs: Sequence[int]) -> str:
    """``bad three nights running``: how often this part of the show was judged so up to this night, without a
    break; empty for once. ``runs`` are the nights that count, in order."""
    if not one.item or one.verdict == "idea":
        return ""
    same = {j.run for j in tour if (j.item, j.section, j.verdict) == (one.item, one.section, one.verdict)} | {
        one.run
    }
    nights = [n for n in runs if n <= one.run]
    count = 0
    for n in reversed(nights):
        if n not in same:
            break
        count += 1
    if count < 2:
        return ""
    return f"{one.verdict} {_NTH[count] if count < len(_NTH) else count} nights running"
