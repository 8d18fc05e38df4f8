"""Where this machine was let in, kept beside the runs it follows."""

import contextlib
import json
from pathlib import Path

from showcaller.joining.asking_in import Known
from showcaller.joining.errors import JoinError
from showcaller.joining.machine import write_private
from showcaller.values import asdict

FILE = "doors.json"


def read_doors(folder: Path) -> list[Known]:
    """The doors this machine has been let in at, the one to try first first."""
    with contextlib.suppress(OSError, ValueError, TypeError):
        return [Known(**one) for one in json.loads((folder / FILE).read_text(encoding="utf-8"))]
    return []


def keep_doors(folder: Path, doors: list[Known]) -> None:
    """Write them down.

    Raises:
        JoinError: the disk does not take it.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_private(folder / FILE, json.dumps([asdict(one) for one in doors], indent=1))
    except OSError as error:
        raise JoinError(f"{folder} cannot be written ({(error.strerror or str(error)).lower()})") from None
