"""What was changed away from the document and is not in it yet, kept beside the copy: the machine may be
switched off meanwhile."""

import contextlib
import json
import time
from pathlib import Path
from typing import Any

from showcaller.editing.changes import ChangeError
from showcaller.editing.sharing.away import AwayBook, Conflict
from showcaller.editing.sharing.values import BookOffer
from showcaller.model import Show


def offers_path(document: Path) -> Path:
    """Where it lies."""
    return document.with_name(f"{document.name}.offers")


def keep_away(book: AwayBook, document: Path) -> None:
    """Write it down, whole or not at all; raises OSError."""
    path = offers_path(document)
    if not book.pending and not book.conflicts:
        path.unlink(missing_ok=True)
        return
    conflicts = [
        {"offer": one.offer.to_data(), "words": one.words, "idents": list(one.idents)}
        for one in book.conflicts
    ]
    data: dict[str, Any] = {"show": book.base.id}
    data |= {"pending": [offer.to_data() for offer in book.pending], "conflicts": conflicts}
    new = path.with_name(f"{path.name}.new")
    new.write_text(json.dumps(data), encoding="utf-8")
    new.replace(path)


def put_aside(document: Path) -> None:
    """What was changed in another show stays where somebody can read it, and is offered to nobody."""
    path = offers_path(document)
    with contextlib.suppress(OSError):
        path.replace(path.with_name(f"{path.name}.aside-{time.strftime('%Y%m%d-%H%M%S')}"))


def load_away(show: Show, document: Path | None) -> AwayBook:
    """The book as it was left on this machine. ``show`` is the copy with all that was made here in it."""
    data: dict[str, Any] = {}
    if document is not None:
        with contextlib.suppress(OSError, ValueError):
            data = json.loads(offers_path(document).read_text(encoding="utf-8"))
    book = AwayBook(show)
    if document is not None and data and data.get("show") != show.id:
        put_aside(document)
        return book
    with contextlib.suppress(ChangeError, KeyError, TypeError, AttributeError):
        book.pending = [BookOffer.from_data(one) for one in data.get("pending", [])]
        book.conflicts = [
            Conflict(BookOffer.from_data(one["offer"]), str(one["words"]), tuple(one["idents"]))
            for one in data.get("conflicts", [])
        ]
    return book


TAKEN = 2000
"""So many idents are known again at the next sitting."""


def taken_path(document: Path) -> Path:
    """Where it is kept which offers are in a document."""
    return document.with_name(f"{document.name}.taken")


def load_taken(document: Path) -> list[str]:
    """The idents of offers that are in the document; whoever offers one again did not hear the answer."""
    try:
        found = taken_path(document).read_text(encoding="utf-8").split()
        if len(found) > 2 * TAKEN:
            taken_path(document).write_text("\n".join([*found[-TAKEN:], ""]), encoding="utf-8")
    except (OSError, ValueError):
        return []
    return found[-TAKEN:]


def keep_taken(document: Path, ident: str) -> None:
    """One more; raises OSError."""
    with taken_path(document).open("a", encoding="utf-8") as file:
        file.write(f"{ident}\n")
