"""What outlives the server: PIN, links and sessions, certificate and key; for this user's eyes alone."""

import contextlib
import json
import os
from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path

from filelock import FileLock, Timeout
from platformdirs import user_state_path

from showcaller.crew.certificate import is_good, make_certificate, now_utc
from showcaller.crew.entry import Door
from showcaller.values import Struct

_DOOR, _CERTIFICATE, _KEY = "door.json", "certificate.pem", "key.pem"
_LOCK = "serving"


class KeepingError(Exception):
    """Why nothing can be kept, in one sentence."""


class Kept(Struct, frozen=True):
    """The folder that a show's crew pages are kept in."""

    folder: Path

    def lock(self) -> FileLock:
        """The right to serve these pages: two servers would forget each other's sessions. Given up by
        releasing it, and when the process ends.

        Raises:
            KeepingError: another server has it.
        """
        found = FileLock(self.folder / _LOCK)
        try:
            found.acquire(blocking=False)
        except Timeout:
            raise KeepingError(
                "the crew pages of this show are served already, by a desk or a command; end that first"
            ) from None
        except OSError as error:
            raise KeepingError(_why(self.folder, error)) from None
        return found

    def door(self) -> Door:
        """As it was left; a new one where nothing is, or nothing that can be read."""
        try:
            return Door.from_data(json.loads((self.folder / _DOOR).read_text(encoding="utf-8")))
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            return Door.new()

    def keep(self, door: Door) -> None:
        """Write it, whole or not at all.

        Raises:
            KeepingError: the disk does not take it.
        """
        try:
            self._write(_DOOR, json.dumps(door.as_data()).encode())
        except OSError as error:
            raise KeepingError(_why(self.folder, error)) from None
        door.changed = False

    def certificate(self, names: Iterable[str]) -> tuple[Path, Path]:
        """(certificate, key) for these names: those that are there while they are good, else new ones.

        Raises:
            KeepingError: they can be written nowhere.
        """
        names, path, key = list(names), self.folder / _CERTIFICATE, self.folder / _KEY
        try:
            if key.exists() and path.exists() and is_good(path.read_bytes(), names, now_utc()):
                return path, key
            made, private = make_certificate(names, now_utc())
            self._write(_KEY, private)
            self._write(_CERTIFICATE, made)
        except OSError as error:
            raise KeepingError(_why(self.folder, error)) from None
        return path, key

    def _write(self, name: str, data: bytes) -> None:
        path = self.folder / name
        new = path.with_suffix(".new")
        with contextlib.suppress(FileNotFoundError):
            new.unlink()
        with open(new, "xb", opener=_mine_alone) as file:
            file.write(data)
        new.replace(path)


def kept_for(where: Path, root: Path | None = None) -> Kept:
    """Where the crew pages of the runs in ``where`` are kept, made if it is not there.

    Raises:
        KeepingError: it cannot be made.
    """
    name = sha256(str(where.resolve()).encode()).hexdigest()[:16]
    folder = (root or user_state_path("showcaller") / "crew") / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        folder.chmod(0o700)
    except OSError as error:
        raise KeepingError(_why(folder, error)) from None
    return Kept(folder)


def _why(folder: Path, error: OSError) -> str:
    reason = (error.strerror or str(error)).lower()
    return f"crew pages cannot be kept in {folder}: {reason}; free disk space, or give this user the folder"


def _mine_alone(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
