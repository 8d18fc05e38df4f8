"""A run's state carried over from one edition of its show to the next, by the ids of items, gos and cues.

Whoever changes the show has made sure that what is over is the same in both.
"""

from collections.abc import Iterable, Mapping
from itertools import pairwise

from showcaller.run.compiled import CompiledItem, CompiledShow
from showcaller.run.marking import with_followers
from showcaller.run.state import Before, Mark, Place, RunState
from showcaller.values import replace

DONE = ("fired", "skipped", "missed")
"""How a cue stands that will not come by itself any more."""
_Marks = tuple[Mapping[int, Mark], ...]


def carried(before: CompiledShow, after: CompiledShow, state: RunState, now_ns: int) -> RunState:
    """The state in the new edition.

    A cue that was left out or missed and has been moved to what is to come, comes, with what follows it. A go
    of which something changed is to be stood by for again, and its standby said again.
    """
    changed = {
        i: _Item(before.items[was] if was is not None else None, item)
        for i, item in enumerate(after.items)
        if (was := before.item_index.get(item.planned.item.id)) is None
        or before.items[was].planned is not item.planned
    }
    marks = _same_marks(before, after, state.marks)
    on = None if state.clock_ns is None else before.items[state.item].planned.item.id
    at_ns = state.item_ns(now_ns)
    for i, item in changed.items():
        over_ns = at_ns if at_ns is not None and after.items[i].planned.item.id == on else -1
        marks = (*marks[:i], _reopened(after, i, item, marks[i], over_ns), *marks[i + 1 :])
    place = _place(before, after, state, marks)
    marks = _followers_again(after, marks, place)
    there = after.item_index.get(before.items[state.item].planned.item.id)
    if there is not None and after.items[there].sections != before.items[state.item].sections:
        state = replace(state, turn=None, let_out=frozenset(), since_ns=at_ns or 0)
    again = {item.ident: item.changed() for item in changed.values()}
    return replace(
        state,
        place=place,
        item=there if there is not None else min(place.item, len(after.items) - 1),
        marks=marks,
        said=frozenset(line for line in state.said if not _again(line, again)),
        history=_history(before, after, state.history),
        taken_over=state.taken_over or any(_mixed(item.item, marks[i]) for i, item in changed.items()),
    )


def _mixed(item: CompiledItem, marks: Mapping[int, Mark]) -> bool:
    """Whether something that fires at an instant of its own is done and stands behind one that is to come."""
    done = [k in marks and marks[k].status in DONE for _, k in item.timed]
    return any(later and not earlier for earlier, later in pairwise(done))


def _again(line: str, changed: Mapping[str, frozenset[str]]) -> bool:
    """Whether a standby line may hold something that is to be said again. Those who stand by already are not
    asked again: a line without anybody who is still to be asked is not said."""
    item, _, rest = line.partition(":")
    what, _, cue = rest.partition(":")
    return item in changed and (what == "standby" or cue in changed[item])


class _Item:
    """An item that is another than it was (``was`` is None for one that was not there)."""

    def __init__(self, was: CompiledItem | None, item: CompiledItem) -> None:
        self.item, self.was = item, was
        self.ident = item.planned.item.id
        self._there = {} if was is None else {cue: k for k, cue in enumerate(was.ids)}
        self._go, self._went = _gos(item), {} if was is None else _gos(was)

    def moved(self, k: int) -> bool:
        """Whether a cue falls at another instant than it did."""
        there = self._there.get(self.item.ids[k])
        return there is None or self.was is None or self.was.at_ns[there] != self.item.at_ns[k]

    def same(self, k: int) -> bool:
        """Whether a cue is the same, at the same instant, in the same go."""
        there = self._there.get(self.item.ids[k])
        if there is None or self.was is None or self.moved(k):
            return False
        one, other = self.was.planned.cues[there].cue, self.item.planned.cues[k].cue
        return (one is other or one == other) and self._went.get(there) == self._go.get(k)

    def changed(self) -> frozenset[str]:
        """The cues that are another than they were, by id."""
        return frozenset(cue for k, cue in enumerate(self.item.ids) if not self.same(k))


def _gos(item: CompiledItem) -> dict[int, frozenset[str]]:
    """Cue → all cues that share its go, by id."""
    found: dict[int, frozenset[str]] = {}
    for go in item.planned.goes:
        found |= dict.fromkeys(go.cues, frozenset(item.ids[k] for k in go.cues))
    return found


def _same_marks(before: CompiledShow, after: CompiledShow, marks: _Marks) -> _Marks:
    """The marks at the places their cues have now."""
    found: list[dict[int, Mark]] = [{} for _ in after.items]
    for i, of_item in enumerate(marks):
        item = before.items[i]
        to = after.item_index.get(item.planned.item.id)
        if to is not None and after.items[to].planned is item.planned:
            found[to].update(of_item)
            continue
        for k, mark in of_item.items():
            there = after.where.get(item.ids[k])
            if there is not None:
                found[there[0]][there[1]] = mark
    return tuple(found)


def _reopened(
    after: CompiledShow, i: int, item: _Item, marks: Mapping[int, Mark], over_ns: int
) -> Mapping[int, Mark]:
    """Without the marks of what is to come after all (behind ``over_ns``), or is to be stood by for again."""
    moved = [
        k for k, mark in marks.items()
        if mark.status in ("skipped", "missed") and item.item.at_ns[k] > over_ns and item.moved(k)
    ]  # fmt: skip
    to_come = {k for k in with_followers(after, i, moved) if k in marks and marks[k].status != "fired"}
    return {
        k: mark for k, mark in marks.items() if k not in to_come and (mark.status in DONE or item.same(k))
    }


def _followers_again(after: CompiledShow, marks: _Marks, place: Place) -> _Marks:
    """What follows something that is to come is to come as well."""
    found = list(marks)
    for i in range(place.item, len(after.items)):
        gos = after.items[i].planned.goes[place.go if i == place.item else 0 :]
        called = [k for go in gos for k in go.cues]
        again = [k for k in with_followers(after, i, called) if k not in called]
        lost = {k for k in again if k in marks[i] and marks[i][k].status in ("skipped", "missed")}
        if lost:
            found[i] = {k: mark for k, mark in marks[i].items() if k not in lost}
    return tuple(found)


def out_of_order(compiled: CompiledShow, state: RunState) -> tuple[str, str] | None:
    """A cue that is to come and one behind it that is done, by their ids; None where all is in order."""
    for i in range(state.place.item, len(compiled.items)):
        item, marks = compiled.items[i], state.marks[i]
        gos = item.planned.goes[state.place.go if i == state.place.item else 0 :]
        called = [k for go in gos for k in go.cues]
        done = next((k for k in called if k in marks and marks[k].status in DONE), None)
        if done is not None:
            to_come = next((k for k in called if k not in marks or marks[k].status not in DONE), done)
            return item.ids[to_come], item.ids[done]
    return None


def _place(before: CompiledShow, after: CompiledShow, state: RunState, marks: _Marks) -> Place:
    """The first go that is neither given nor left out: of the item that is on, then of what comes after."""
    passed = {item.planned.item.id for item in before.items[: state.place.item]}
    midway = (
        before.items[state.place.item].planned.item.id
        if state.place.item < len(before.items) and state.place.go > 0
        else None
    )
    on = None if state.clock_ns is None else before.items[state.item].planned.item.id
    for i, item in enumerate(after.items):
        ident = item.planned.item.id
        if ident in passed and ident != on:
            continue
        begun = ident in (on, midway)
        go = first_open(item, marks[i]) if begun else 0
        if go is not None:
            return Place(i, go)
    return Place(len(after.items), 0)


def first_open(item: CompiledItem, marks: Mapping[int, Mark]) -> int | None:
    """The first go behind the start that has a cue which is still to come."""
    for g, go in enumerate(item.planned.goes):
        if g and not all(k in marks and marks[k].status in DONE for k in go.cues):
            return g
    return None


def _history(before: CompiledShow, after: CompiledShow, history: Iterable[Before]) -> tuple[Before, ...]:
    """What the last gos changed; as far back as it can still be taken back."""
    gos = {ident: (i, g) for i, item in enumerate(after.items) for g, ident in enumerate(item.go_ids)}
    found: list[Before] = []
    for was in reversed(tuple(history)):
        place = gos.get(before.items[was.place.item].go_ids[was.place.go])
        item = after.item_index.get(before.items[was.item].planned.item.id)
        if place is None or item is None:
            break
        marks = _same_marks(before, after, was.marks)
        found.append(replace(was, place=Place(*place), item=item, marks=marks))
    return tuple(reversed(found))
