"""Finding an item or a cue in the book by number or word."""

from showcaller.model import OscMessage, Show
from showcaller.values import Struct


class Found(Struct, frozen=True):
    """A place in the book: an item, or a cue in it."""

    item: str
    cue: str | None
    words: str


def find_in_book(show: Show, text: str, limit: int = 6) -> list[Found]:
    """Items and cues that match: a cue's exact name, items by name, cues by number or any word."""
    wanted = " ".join(text.lower().split())
    if not wanted:
        return []
    names = {d.id: (d.name.lower(), d.letters.lower()) for d in show.departments}
    exact: list[tuple[str, str]] = []
    items: list[tuple[str, str | None]] = []
    cues: list[tuple[str, str]] = []
    for item in show.items:
        if wanted in item.name.lower():
            items.append((item.id, None))
        for cue in item.cues:
            number = str(cue.number)
            if wanted.endswith(number) and wanted in (f"{n} {number}" for n in names[cue.department]):
                exact.append((item.id, cue.id))
            elif (
                wanted == number
                or wanted in cue.label.lower()
                or wanted in cue.notes.lower()
                or any(isinstance(m, OscMessage) and wanted in m.address for m in cue.messages)
            ):
                cues.append((item.id, cue.id))
    places = [*exact, *items, *cues][:limit]
    return [Found(item, cue, _words(show, item, cue)) for item, cue in places]


def _words(show: Show, item_id: str, cue_id: str | None) -> str:
    item = next(i for i in show.items if i.id == item_id)
    if cue_id is None:
        return f"{item.name}{' (cut tonight)' if item.out else ''}"
    cue = next(c for c in item.cues if c.id == cue_id)
    return f"{show.department(cue.department).name} {cue.number} {cue.label}, {item.name}"
