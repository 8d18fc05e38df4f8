"""Where the windows stood, remembered for every set-up of screens."""

import json
from pathlib import Path

from showcaller.desk.qt import QByteArray, QGuiApplication, QWidget
from showcaller.desk.seats import SEATS

LAYOUT_FILE = "layout.json"
SEAT_FILE = "seat"


def screens_key() -> str:
    """The screens at hand: name and size of each, so that a desk at the hall and one at home differ."""
    parts = []
    for screen in QGuiApplication.screens():
        size = screen.size()
        parts.append(f"{screen.name()} {size.width()}x{size.height()}")
    return " + ".join(sorted(parts))


class Layout:
    """The file of window places. What cannot be read or written is no reason not to open a window."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / LAYOUT_FILE

    def _read(self) -> dict[str, dict[str, str]]:
        try:
            data = json.loads(self._path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return data if isinstance(data, dict) else {}

    def restore(self, name: str, window: QWidget) -> bool:
        """Put a window where it stood on these screens; False if it never did."""
        kept = self._read().get(screens_key(), {}).get(name)
        if not isinstance(kept, str):
            return False
        return bool(window.restoreGeometry(QByteArray.fromBase64(kept.encode("ascii", "ignore"))))

    def keep(self, name: str, window: QWidget) -> None:
        """Remember where a window stands on these screens."""
        data = self._read()
        text = bytes(window.saveGeometry().toBase64().data()).decode()
        data.setdefault(screens_key(), {})[name] = text
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._path.write_text(json.dumps(data, indent=1), encoding="utf-8")
        except OSError:
            return  # a read-only settings folder only means that nothing is remembered


def kept_seat(folder: Path) -> str:
    """The seat that was taken last on this machine; the caller's if none was."""
    try:
        name = (folder / SEAT_FILE).read_text(encoding="utf-8").strip()
    except (OSError, ValueError):
        return "caller"
    return name if name in SEATS else "caller"


def keep_seat(folder: Path, name: str) -> None:
    """Remember which seat this desk is."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / SEAT_FILE).write_text(f"{name}\n", encoding="utf-8")
    except OSError:
        return  # as above
