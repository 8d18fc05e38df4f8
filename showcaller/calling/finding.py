"""Finding a place by a few letters or a cue's number. Pure."""

from showcaller.calling.wording import span
from showcaller.run.runbook import RunBook
from showcaller.run.runlog import INCIDENTS
from showcaller.values import Struct


class Found(Struct, frozen=True):
    """A place that can be jumped to: an item's start, or a cue."""

    item: str
    cue: str | None
    words: str


def find_places(book: RunBook, text: str, limit: int = 5) -> list[Found]:
    """Items and cues that match, best first: an exact cue name, items by name, cues by number or label."""
    wanted = text.strip().lower()
    if not wanted:
        return []
    show = book.compiled.plan.show
    departments = {d.id: d for d in show.departments}
    exact: list[Found] = []
    items: list[Found] = []
    cues: list[Found] = []
    for planned in book.compiled.plan.items:
        item = planned.item
        if wanted in item.name.lower():
            items.append(Found(item.id, None, f"{item.name}, from its start"))
        for cue in planned.cues:
            department = departments[cue.cue.department]
            number = str(cue.cue.number)
            names = {f"{d} {number}".lower() for d in (department.name, department.letters, department.id)}
            found = Found(
                item.id,
                cue.cue.id,
                f"{department.name} {number} {cue.cue.label}, {item.name} at {span(cue.at_s)}",
            )
            if wanted in names:
                exact.append(found)
            elif wanted == number or wanted in cue.cue.label.lower() or wanted == department.name.lower():
                cues.append(found)
    return (exact + items + cues)[:limit]


def suggestions(book: RunBook, text: str) -> str:
    """What Enter would do, and what else matches, a line each."""
    places = find_places(book, text)
    if not text.strip():
        return "an item's name, or a cue such as 'lights 12.5'; nothing is sent, only the next go changes"
    if not places:
        return "nothing matches; type an item's name, or a cue such as 'lights 12.5'"
    return "\n".join(f"{'Enter: ' if n == 0 else '           '}{p.words}" for n, p in enumerate(places))


def addressed(book: RunBook, text: str) -> tuple[str, str]:
    """(department id or '', words) of a note: ``video: watch the drummer`` is for Video."""
    head, colon, rest = text.partition(":")
    for department in book.compiled.plan.show.departments:
        names = {department.name.lower(), department.letters.lower(), department.id}
        if colon and rest.strip() and head.strip().lower() in names:
            return department.id, rest.strip()
    return "", text


def incident(text: str) -> tuple[str, str] | None:
    """(what kind, words) of an incident typed as ``near miss: the riser moved``; None if it names no kind.

    A kind may be cut short as long as it is clear: ``inj``, ``near miss``, ``dam``; before a colon even to
    its first letter. 'In row 3' and 'near the riser' name none.
    """
    head, colon, rest = text.partition(":")
    if not colon:
        head, _, rest = text.partition(" ")
        if head.lower() == "near" and rest.lower().startswith("miss "):
            head, rest = "near miss", rest[4:]
    head = head.strip().lower()
    shortest = 1 if colon else 3
    kind = next((k for k in INCIDENTS if len(head) >= shortest and k.startswith(head)), None)
    if kind == "near miss" and not colon and head != "near miss":
        kind = None
    words = rest.strip()
    return None if kind is None or not words else (kind, words)
