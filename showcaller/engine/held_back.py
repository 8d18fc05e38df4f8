"""Why no engine may run a run folder: another machine has taken the run over, or its plug is pulled."""

import contextlib
import json
from pathlib import Path

FILE = "held-back.json"


def hold_back(folder: Path, machine: str, term: int, until_s: float | None = None) -> None:
    """From here on no engine starts here but one that takes over: ``machine`` has the run, in ``term``; or
    the plug is pulled for a rehearsal, until ``until_s`` (Unix). Raises OSError."""
    path = folder / FILE
    new = path.with_suffix(".new")
    new.write_text(json.dumps({"machine": machine, "term": term, "until_s": until_s}), encoding="utf-8")
    new.replace(path)


def held_back(folder: Path, now_s: float) -> str:
    """Why none may; empty if one may."""
    try:
        told = json.loads((folder / FILE).read_text(encoding="utf-8"))
        until_s, machine = told["until_s"], str(told["machine"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""
    if until_s is None:
        return f"{machine} has this show, and this machine follows it; take over here to have it"
    if now_s < float(until_s):
        return "the plug is pulled in this rehearsal; take over at the second machine, or wait a minute"
    return ""


def term_kept(folder: Path) -> int:
    """The term in which another machine has the run, as far as is known here; 0 if nothing is."""
    try:
        return int(json.loads((folder / FILE).read_text(encoding="utf-8"))["term"])
    except (OSError, ValueError, KeyError, TypeError):
        return 0


def may_run(folder: Path) -> None:
    """An engine runs here again."""
    with contextlib.suppress(OSError):
        (folder / FILE).unlink(missing_ok=True)
