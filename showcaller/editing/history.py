"""The edits of earlier sittings, so that they can still be undone after the desk was closed.

Beside ``NAME.json`` lies ``NAME.json.history``: the digest of its document, then a line per step.
A document that anything else has changed has no history: undo would not lead to what was there.
"""

import hashlib
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from showcaller.editing.changes import Change, change_from
from showcaller.values import Struct

KEPT = 500
"""So many steps are kept, the last ones."""


class Step(Struct, frozen=True):
    """A change that was made, in words, and what takes it back."""

    words: str
    change: Change
    inverse: Change


def history_path(document: Path) -> Path:
    """Where a document's history lies."""
    return document.with_name(f"{document.name}.history")


def load_history(document: Path) -> tuple[Step, ...]:
    """The steps that led to the document as it is on disk, the oldest first; none if it is another."""
    try:
        lines = history_path(document).read_text(encoding="utf-8").splitlines()
        if not lines or json.loads(lines[0]).get("document") != _digest(document):
            return ()
        return tuple(_step(json.loads(line)) for line in lines[1:])
    except (OSError, ValueError, KeyError, AttributeError, TypeError):
        return ()  # a history that cannot be read only means that nothing earlier can be undone


def save_history(document: Path, steps: Sequence[Step]) -> None:
    """Keep the steps that led to the document as it is on disk.

    Raises:
        OSError: it cannot be written; what was there stays.
    """
    path = history_path(document)
    lines = [json.dumps({"document": _digest(document)})]
    for step in steps[-KEPT:]:
        fields = {
            "change": step.change.model_dump(mode="json"),
            "inverse": step.inverse.model_dump(mode="json"),
        }
        lines.append(json.dumps({"words": step.words, **fields}, ensure_ascii=False))
    new = path.with_name(f".{path.name}.new")
    new.write_text("\n".join(lines) + "\n", encoding="utf-8")
    new.replace(path)


def _step(data: dict[str, Any]) -> Step:
    change, inverse = change_from(data["change"]), change_from(data["inverse"])
    return Step(str(data["words"]), change, inverse)


def _digest(document: Path) -> str:
    return hashlib.sha256(document.read_bytes()).hexdigest()
