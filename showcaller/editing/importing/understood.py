"""What an import found: the change it would make, and where it could not follow."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from showcaller.editing.changes import Change, Together
from showcaller.model.clockwords import m_ss

KINDS = ".csv .xlsx .ods .mid .midi .otio .lrc .txt"
"""The files that can be taken in, by the end of their names."""


UNTOUCHED = "New song"
"""The name of the item that a new show begins with; an import takes its place."""


class FileError(ValueError):
    """A file that cannot be taken in; one sentence."""


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence on a place in the file; ``row`` counts from 1, 0 stands for none.

    Where it is ``wrong`` the row stays out; where it is ``harmless`` nobody needs to look.
    """

    row: int
    column: str
    sentence: str
    wrong: bool = True
    harmless: bool = False

    def __str__(self) -> str:
        places = (f"row {self.row}" if self.row else "", f"column {self.column}" if self.column else "")
        where = ", ".join(place for place in places if place)
        return f"{where}: {self.sentence}" if where else self.sentence


def sorted_remarks(remarks: Sequence[Remark]) -> tuple[Remark, ...]:
    """What is wrong first, then what is doubtful, then what is harmless; each by row."""
    return tuple(sorted(remarks, key=lambda r: (not r.wrong, r.harmless, r.row)))


def rows_out(remarks: Sequence[Remark]) -> str:
    """How many rows stay out, as the end of a summary; empty if none."""
    rows = len({r.row for r in remarks if r.wrong})
    return f"; {rows} row{'s stay' if rows > 1 else ' stays'} out" if rows else ""


_NAMED = 3


@dataclass(frozen=True, slots=True)
class Counts:
    """What importing a running order does, counted: rows that are items, their length in all (s), new ones,
    changed ones, those as before; names of those that cannot be read and stay as they are, and of those that
    are not in the file and are cut tonight."""

    items: int
    total_s: int
    new: int
    changed: int
    same: int
    kept: tuple[str, ...] = ()
    stay: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    """What is otherwise in each of the changed ones."""

    def same_song(self, name: str) -> "Counts":
        """Where a new item is one of those that stay, under another name."""
        stay = list(self.stay)
        stay.remove(name)
        return replace(self, new=self.new - 1, changed=self.changed + 1, stay=tuple(stay))

    def words(self) -> str:
        """In a sentence."""
        which = f" ({_some(self.changes, '; ')})" if self.changes else ""
        words = [f"{self.new} new", f"{self.changed} changed{which}"]
        words += [f"{self.same} as before"] if self.same else []
        if self.kept:
            words.append(f"{_some(self.kept)} as {'they are' if len(self.kept) > 1 else 'it is'}")
        if self.stay:
            one = "stays" if len(self.stay) == 1 else "stay"
            words.append(f"{len(self.stay)} not in the file {one}, cut tonight ({_some(self.stay)})")
        items = "1 item" if self.items == 1 else f"{self.items} items"
        return f"{items}, {m_ss(self.total_s)} in all: {', '.join(words)}"


def _some(names: Sequence[str], apart: str = ", ") -> str:
    if len(names) > _NAMED:
        return f"{apart.join(names[:_NAMED])} and {len(names) - _NAMED} more"
    return " and ".join([apart.join(names[:-1]), names[-1]] if len(names) > 1 else names)


@dataclass(frozen=True, slots=True)
class Question:
    """Something the file leaves open, in words: ``yes`` is done after the import's change if it is so, and
    ``no`` says what is so otherwise. ``item`` is the name that would be another's."""

    words: str
    no: str
    yes: Change
    item: str


@dataclass(frozen=True, slots=True)
class Understood:
    """A file as it was understood.

    Args:
        title: what it is, in a few words.
        summary: what importing does, in a sentence.
        columns: (column letter, its heading in the file, what it was taken for or '') for each column.
        rows: what each good row becomes, in words, at most a few hundred of them.
        remarks: what was wrong or doubtful, by row.
        change: what importing does to the show; None where there is nothing to import.
        questions: what is asked before.
        counts: what ``summary`` says, counted; None where it is no running order.
    """

    title: str
    summary: str
    columns: tuple[tuple[str, str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    remarks: tuple[Remark, ...]
    change: Change | None
    questions: tuple[Question, ...] = ()
    counts: Counts | None = None

    def answered(self, yes: Sequence[Question]) -> "Understood":
        """With what it is where these questions are answered with yes."""
        if not yes or self.change is None:
            return self
        change = Together(changes=(self.change, *(q.yes for q in yes)))
        if self.counts is None:
            return replace(self, change=change)
        counts = self.counts
        for question in yes:
            counts = counts.same_song(question.item)
        summary = counts.words() + self.summary.removeprefix(self.counts.words())
        return replace(self, change=change, summary=summary, counts=counts)
