"""How long after a standby its department was keyed as standing by, from the log's own instants."""

from collections.abc import Iterable
from statistics import median

from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct


class Reaction(Struct, frozen=True):
    """A department's answers to its standbys, seconds from the standby having been said.

    ``silent`` standbys had no answer before their go, or at all; figures are None where there was none to
    count.
    """

    department: str
    asked: int
    answered: int
    median_s: float | None
    worst_s: float | None
    silent: int


def reactions(plan: Plan, records: Iterable[Record]) -> tuple[Reaction, ...]:
    """A row for every department that was given a standby, in the show's order."""
    department_of = {c.cue.id: c.cue.department for item in plan.items for c in item.cues}
    waiting: dict[str, int] = {}
    asked: dict[str, int] = {}
    silent: dict[str, int] = {}
    took: dict[str, list[float]] = {}
    for record in records:
        for event in record.events:
            if isinstance(event, ev.LineSaid) and event.what == "standby":
                # One voice answers for all of a department's cues of one line.
                for department in dict.fromkeys(department_of.get(c, "") for c in event.cues):
                    if not department:
                        continue
                    if department in waiting:
                        silent[department] = silent.get(department, 0) + 1
                    waiting[department] = record.t_ns
                    asked[department] = asked.get(department, 0) + 1
            elif isinstance(event, ev.Answered):
                for department in event.departments:
                    since = waiting.pop(department, None)
                    if since is not None:
                        took.setdefault(department, []).append((record.t_ns - since) / NS)
            elif isinstance(event, ev.WentUnanswered):
                for department in event.departments:
                    if waiting.pop(department, None) is not None:
                        silent[department] = silent.get(department, 0) + 1
    for department in waiting:
        silent[department] = silent.get(department, 0) + 1
    return tuple(
        Reaction(
            d.name,
            asked[d.id],
            len(took.get(d.id, ())),
            median(took[d.id]) if d.id in took else None,
            max(took[d.id]) if d.id in took else None,
            silent.get(d.id, 0),
        )
        for d in plan.show.departments
        if d.id in asked
    )


def keyed_words(reaction: Reaction) -> str:
    """What the figure is: the caller's own key, pressed when the department was heard, not its own answer."""
    if reaction.median_s is None:
        return "standing by never keyed"
    return f"standing by keyed {reaction.median_s:.1f} s after the standby"
