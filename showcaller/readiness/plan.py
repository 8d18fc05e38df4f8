"""What can be known from the plan alone."""

from collections.abc import Iterator

from showcaller.editing.day import dock_clashes
from showcaller.engine.sendable import unsendable
from showcaller.model import Show, WalkOn
from showcaller.readiness.finding import Finding
from showcaller.screen.advice import budgets
from showcaller.screen.looks import looks_of
from showcaller.screen.off_wall import off_wall, off_wall_words
from showcaller.screen.sending import untold
from showcaller.screen.surfaces import pools_of
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan
from showcaller.timing.quick_changes import rushed
from showcaller.timing.walkon import too_short


def plan(show: Show) -> Iterator[Finding]:
    """Whether the plan can be run as written."""
    problems = (*compile_plan(show).problems, *unsendable(show))
    if problems:
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        yield Finding("the plan", "wrong", f"{problems[0].plain}{more}.", "Fix it in the Book.")
        return
    played = [item for item in show.items if not item.out]
    cues = sum(len(item.cues) for item in played)
    yield Finding("the plan", "good", f"{len(played)} items, {cues} cues, nothing wrong with it.")


def calls(show: Show) -> Iterator[Finding]:
    """Whether one voice can say it all."""
    compiled = compile_plan(show)
    sheets = compile_show_calls(compiled)
    crowded = [(p.item.name, s) for p, s in zip(compiled.items, sheets, strict=True) if s.collisions]
    if not crowded:
        load = max((float(s.load) for s in sheets), default=0.0)
        yield Finding(
            "calls",
            "good",
            f"every standby and go can be called; at most {100 * load:.0f} % of an item is speech.",
        )
        return
    name, sheet = crowded[0]
    more = f" {len(crowded) - 1} more items have such places." if len(crowded) > 1 else ""
    yield Finding(
        "calls",
        "look",
        f"{name}: {sheet.collisions[0].sentence}{more}",
        "The Book shows each under its strip.",
    )


def channels(show: Show) -> Iterator[Finding]:
    """Whether the wall's processing channels suffice."""
    if show.wall is None:
        return
    compiled = compile_plan(show)
    for name in untold(show):
        yield Finding(
            "messages",
            "look",
            f"no message tells a device what lies on {name}.",
            "Give a template of a whole layer {surface}, or make one for each layer and input.",
        )
    looks = (s.look for n in range(len(compiled.items)) for s in looks_of(compiled, n).standing)
    words = off_wall_words(off_wall(show, looks))
    if words:
        yield Finding("the wall", "look", words, "Lay it anew in Wall: it was laid for a larger surface.")
    fits = True
    for n, planned in enumerate(compiled.items):
        for found in budgets(show, looks_of(compiled, n)):
            for short in found.shortages:
                fits = False
                words = f"{planned.item.name}: {short.sentence}"
                yield Finding("channels", "wrong", words, "Wall shows where.")
    if not fits:
        return
    pools = pools_of(show)
    words = f"{pools[0].channels} processing channels are enough for every song."
    if len(pools) > 1:
        counts = ", ".join(f"{pool.channels} in {pool.name}" for pool in pools)
        words = f"processing channels are enough for every song: {counts}."
    yield Finding("channels", "good", words)


def clearances(show: Show) -> Iterator[Finding]:
    """Whether every dangerous cue and every walk has somebody who says yes."""
    bare = [
        f"{show.department(cue.department).name} {cue.number}"
        for item in show.items
        if not item.out
        for cue in item.cues
        if cue.hazard is not None and not cue.needs
    ]
    if bare:
        names = ", ".join(bare[:4]) + (" and more" if len(bare) > 4 else "")
        yield Finding(
            "clearances",
            "wrong",
            f"no clearance guards {names}.",
            "Name one under 'needs'; local codes and licensed people decide.",
        )
    for page in show.pages:
        if not page.lines:
            yield Finding(
                "pages", "look", f"the page '{page.name}' has no lines.", "Type them in the set-up page."
            )
        elif page.kind == "show stop" and not any(line.clearance for line in page.lines):
            words = f"the page '{page.name}' names no clearance for starting again."
            yield Finding("pages", "look", words, "Name them on its lines, in the order they are asked for.")
        elif page.kind == "weather" and not any(line.clearance in _readings(show) for line in page.lines):
            words = f"the page '{page.name}' has no reading against a limit."
            yield Finding("pages", "look", words, "Give a line the clearance with the engineer's limit.")
    walks = [
        item.name for item in show.items if isinstance(item, WalkOn) and not item.out and item.route is None
    ]
    for item in show.items:
        if item.doubts and not item.out:
            words = f"'{item.name}' is as an import left it: {'; '.join(item.doubts)}."
            yield Finding("import", "look", words, "Confirm it in its form in the Book.")
    for words in too_short(show):
        yield Finding("walk-ons", "wrong", f"{words}.", "Nobody can be asked to walk faster than is safe.")
    for words in rushed(show):
        yield Finding(
            "quick changes", "wrong", f"{words}.", "Nobody can be asked to be quicker than is safe."
        )
    for words in dock_clashes(show):
        yield Finding("the day", "look", f"{words}.", "Move one, or give it another dock, in the day sheet.")
    if walks:
        yield Finding(
            "walk-ons", "look", f"{', '.join(walks)} has no route.", "Choose its route in the Book."
        )
    routes = [r for r in show.routes if not r.people]
    if routes:
        yield Finding(
            "walk-ons", "look", f"nobody is named on {routes[0].name}.", "Say who leads, and who is ahead."
        )
    if not bare and show.clearances:
        count = len({c.position for c in show.clearances})
        words = f"{len(show.clearances)} clearances, {count} positions to answer them."
        yield Finding("clearances", "good", words, "See that each is on headset.")


def _readings(show: Show) -> set[str]:
    return {c.id for c in show.clearances if c.kind == "reading"}
