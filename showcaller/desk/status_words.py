"""How things stand, in words: pure functions of a run's book."""

from datetime import datetime
from typing import TYPE_CHECKING

from showcaller.calling.doubting import doubt_line
from showcaller.calling.outlook import NextWalk
from showcaller.calling.wording import day_time, span
from showcaller.desk.keys import Keys
from showcaller.desk.told import Walk
from showcaller.model import Leg, Show, WalkOn
from showcaller.run.interventions import open_on_leg, walk_steps
from showcaller.run.runbook import RunBook
from showcaller.timing.planned_start import zone_of

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession

RESTARTED_FOR_S = 20
"""That the engine was restarted is shown this long."""


def badge(book: RunBook, session: "RunSession | None") -> tuple[str, str]:
    """Whether messages leave: (words, tone)."""
    if session is None:
        return "", "quiet"
    if session.joined is not None and session.joined.get("can_take_over"):
        return "SECOND MACHINE · OUTPUTS HELD", "caution"
    if book.state.all_muted:
        return "REHEARSAL · OUTPUTS MUTED", "caution"
    if book.state.muted:
        return "SOME OUTPUTS MUTED", "caution"
    return "OUTPUTS LIVE", "standby"


def run_words(
    edition: str, number: int, speed: float, simulated: bool, caller: str, muted: bool = False
) -> str:
    """``edition 14 · show 31 · 8× · Ines calling``."""
    parts = [edition, f"{'rehearsal' if muted else 'show'} {number}"]
    parts += [f"{speed:g}×"] if speed != 1 else []
    parts += ["simulated crew"] if simulated else []
    parts += [f"{caller} calling"] if caller else []
    return " · ".join(parts)


def clock_words(wall_ns: int, session: "RunSession | None", show: Show) -> str:
    """The time of day at the venue, with its name where this machine's clock is another's; in a rehearsal at
    another speed it says that it is not the real one."""
    zone = zone_of(show)
    at = day_time(wall_ns, zone)
    own = datetime.fromtimestamp(wall_ns / 1e9).astimezone()
    if show.time_zone is not None and own.utcoffset() != own.astimezone(zone).utcoffset():
        at += f" {show.time_zone.rpartition('/')[2].replace('_', ' ')}"
    return at if session is None or session.clock.speed == 1 else f"show time {at}"


def run_trouble(trouble: str | None, book: RunBook, now_ns: int, keys: Keys) -> str | None:
    """What is wrong with the run that is on; ``trouble`` is the engine's own, which comes first."""
    if trouble is not None:
        return trouble
    if book.state.doubts:
        return doubt_line(book, keys["doubts"])
    back_ns = book.recovered_ns
    if book.taken_over is not None and now_ns - book.taken_over[1] < RESTARTED_FOR_S * 1e9:
        return f"{book.taken_over[0]} has taken over. Check what is in doubt before the next go."
    if back_ns is not None and now_ns - back_ns < RESTARTED_FOR_S * 1e9:
        return "The engine was restarted at the same place. Check under Called before the next go."
    return None


def walk_rows(book: RunBook, walk: NextWalk, now_ns: int) -> Walk:
    """A walk-on as the side of the call area shows it."""
    leave_s = walk.plan.leave_by_s
    words = f"leave within {span(leave_s)}" if leave_s > 0 else f"leave now, {span(-leave_s)} late"
    words = "on the way" if walk.on and leave_s < 0 else words
    if (walk.item, "in place") in book.state.walked:
        words = "in place"
    legs = {leg.name: (leg, metres) for leg, metres in zip(walk.plan.legs, walk.metres, strict=True)}
    ahead_s = leave_s - walk.plan.camera_by_s
    item = book.compiled.plan.items[book.compiled.item_index[walk.item]].item
    on_route = [leg for r in book.compiled.plan.show.routes if isinstance(item, WalkOn) and r.id == item.route
                for leg in r.legs]  # fmt: skip
    coming = next((leg for leg in on_route if (walk.item, leg.name) not in book.state.walked), None)
    beforehand = {leg.name: needs_words(book, leg) for leg in on_route if leg is not coming}
    steps, needs = [], []
    for step in walk_steps(book.compiled, walk.item):
        done = (walk.item, step) in book.state.walked
        needs.append("" if done else beforehand.get(step, ""))
        name = step
        if step in legs:
            leg, metres = legs[step]
            name = f"{step} · {metres:g} m · {span(leg.takes.mean_s)}"
        elif step == "camera rolls" and ahead_s > 0.5:
            name = f"camera rolls {ahead_s:.0f} s before"
        steps.append((name, done))
    open_ = () if coming is None else open_on_leg(book.compiled, book.state, walk.item, coming.name, now_ns)
    return Walk(
        walk.name,
        words,
        tuple(steps),
        urgent=leave_s < 30 and not steps[-1][1],
        beside="" if coming is None else leg_words(book, coming, open_),
        clear=not open_,
        needs=tuple(needs),
    )


def needs_words(book: RunBook, leg: Leg) -> str:
    """What a leg further on needs: ``needs Lane clear · Ada at the gate · radio 4``."""
    names = {x.id: x.name for x in book.compiled.plan.show.clearances}
    asked = ", ".join(names[n] for n in leg.clearances)
    radio = f"radio {leg.radio}" if leg.radio else ""
    return " · ".join(p for p in (f"needs {asked}" if asked else "", leg.posted or "", radio) if p)


def leg_words(book: RunBook, leg: Leg, missing: tuple[str, ...]) -> str:
    """What a leg needs beforehand: clearances, who stands where, the radio channel."""
    names = {x.id: x.name for x in book.compiled.plan.show.clearances}
    needs = ", ".join(names[n] for n in leg.clearances)
    parts = [
        f"NOT CLEAR: {'; '.join(missing)}" if missing else f"{needs}: clear" if needs else "",
        leg.posted or "",
        f"radio {leg.radio}" if leg.radio else "",
    ]
    found = " · ".join(p for p in parts if p)
    return f"{leg.name}: {found}" if found else ""
