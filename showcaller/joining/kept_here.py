"""What an engine of this machine kept of its run, read from its journal when there is no engine to ask."""

import json
from pathlib import Path
from typing import Any

from showcaller.engine.journal import JournalError, look, together
from showcaller.engine.journal.memory import Kept
from showcaller.engine.opening import front_of
from showcaller.engine.protocol import JOURNAL_FILE, SHOW_FILE
from showcaller.engine.runfile import RunFileError, parse_head
from showcaller.joining.apart import term_of
from showcaller.model.document import text_digest
from showcaller.run import events as ev
from showcaller.run.runlog import RECORD_BEGINNING
from showcaller.values import Struct

_ENDED = f'{{"kind":{json.dumps(ev.RunEnded.kind)}'.encode()
"""As it stands in no text that somebody wrote: quotes in those are escaped."""


class KeptRun(Struct, frozen=True):
    """``hello`` is what its engine would say of itself, ``records`` all it did, as far as they are without a
    gap. ``boot`` is when the machine was on that it ran on last, ``ended`` whether the show was ended."""

    hello: dict[str, Any]
    show: str
    records: Kept
    boot: str
    ended: bool


def read_kept(folder: Path) -> KeptRun | None:
    """The run in ``folder``; None where there is none, or none that can be read."""
    path = folder / JOURNAL_FILE
    try:
        on_disk = look(path)
        found = together(path, on_disk, front_of(folder, on_disk))
        head = parse_head(found.log, path.name, folder / SHOW_FILE)
    except (JournalError, RunFileError, OSError, ValueError):
        return None
    records, ended = Kept(), False
    for body in found.log:
        if body.startswith(RECORD_BEGINNING):
            records.append(body)
            ended = ended or _ENDED in body
    records.compact()
    hello = {
        "run": head.run_id, "digest": text_digest(head.show_text), "seq": len(records), "pid": 0,
        "base_ns": head.clock.base_ns, "wall0_ns": head.clock.wall0_ns, "speed": head.clock.speed,
        "term": term_of(records), "urgent": "", "disk": None,
    }  # fmt: skip
    return KeptRun(hello, head.show_text, records, head.clock.boot, ended)
