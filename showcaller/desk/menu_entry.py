"""The desktop's menu on Linux: entry, icon and the type of show documents, in the user's own folders. No Qt.

By the standards of freedesktop.org: Desktop Entry 1.4, Shared MIME-info, Icon Theme.
"""

import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

from showcaller.resources import resource

MIME = "application/vnd.showcaller.show+json"
"""The type of a show document; files called ``*.show.json`` have it, and those that begin as one does."""


def data_home(environ: Mapping[str, str]) -> Path:
    """Where a user's own data lie (XDG Base Directory)."""
    given = environ.get("XDG_DATA_HOME", "")
    return Path(given) if given else Path.home() / ".local" / "share"


def entry(command: str) -> str:
    """The entry, opening a document with ``command``."""
    text = resource("desktop", "showcaller.desktop.in").read_text(encoding="utf-8")
    return text.replace("{exec}", command).replace("{mime}", MIME)


def files(home: Path, command: str) -> Iterator[tuple[Path, str]]:
    """Each file that is written, with its text."""
    yield home / "applications" / "showcaller.desktop", entry(command)
    for folder, name in (
        ("icons/hicolor/scalable/apps", "showcaller.svg"),
        ("mime/packages", "showcaller.xml"),
    ):
        yield home / folder / name, resource("desktop", name).read_text(encoding="utf-8")


def command_of(python: str = sys.executable) -> str:
    """How this showcaller is started, as an entry has it: a percent sign is doubled, a blank is quoted."""
    words = shlex.join([python, "-m", "showcaller"]).replace("'", '"')
    return words.replace("%", "%%")


def put(home: Path, command: str) -> list[Path]:
    """Write all of it; what was written.

    Raises:
        OSError: a folder cannot be written.
    """
    written = []
    for path, text in files(home, command):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        written.append(path)
    _tell(home)
    return written


def take_away(home: Path) -> list[Path]:
    """Remove all of it; what was there."""
    there = [path for path, _ in files(home, "") if path.exists()]
    for path in there:
        path.unlink()
    _tell(home)
    return there


def _tell(home: Path) -> None:
    """The desktop looks again; where these programs are not there, it does so when it is started next."""
    for program, folder in (("update-mime-database", "mime"), ("update-desktop-database", "applications")):
        found = shutil.which(program)
        if found is not None and (home / folder).is_dir():
            subprocess.run(
                [found, str(home / folder)], capture_output=True, check=False, env={**os.environ}, timeout=30
            )
