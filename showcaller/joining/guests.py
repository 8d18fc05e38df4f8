"""The machines that are let in, each with its key and its seat, as they are kept beside the runs. Pure but
for reading and writing the file.
"""

import contextlib
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from showcaller.joining.machine import LONGEST_NAME, key_id, write_private
from showcaller.run.rights import SEATS
from showcaller.values import Struct, asdict, replace

FILE = "joined.json"
MOST = 32


class Guest(Struct, frozen=True):
    """A machine: its public key, what people call it, its seat, and ``door``, where its own would be
    (``host:port``), if it can take over."""

    key: str
    name: str
    seat: str
    since_s: float = 0.0
    door: str = ""

    @property
    def id(self) -> str:
        """What stands for its key."""
        return key_id(self.key)


@dataclass
class Guests:
    """Those that are let in, by their keys; ``gone`` has those that were withdrawn, and when (s, Unix)."""

    by_key: dict[str, Guest] = field(default_factory=dict)
    gone: dict[str, float] = field(default_factory=dict)

    def admit(self, key: str, name: str, seat: str, now_s: float, door: str = "") -> Guest:
        """Let a machine in, or give it another seat.

        Raises:
            ValueError: no such seat, or no room; one sentence.
        """
        if seat not in SEATS:
            raise ValueError(f"no seat '{seat[:20]}'; there are {', '.join(SEATS)}")
        if key not in self.by_key and len(self.by_key) >= MOST:
            raise ValueError(f"{MOST} machines are let in already; withdraw one that is not needed")
        guest = Guest(key, name.strip()[:LONGEST_NAME] or "a machine", seat, now_s, door)
        self.by_key[key] = guest
        self.gone.pop(key, None)
        return guest

    def withdraw(self, ident: str, now_s: float) -> Guest | None:
        """The machine with this id is not let in any more; None if it was not."""
        found = next((g for g in self.by_key.values() if g.id == ident), None)
        if found is None:
            return None
        self.gone[found.key] = now_s
        return self.by_key.pop(found.key)

    def at_door(self, key: str, door: str) -> bool:
        """A machine has told where its own door is; whether that is new."""
        guest = self.by_key.get(key)
        if guest is None or guest.door == door:
            return False
        self.by_key[key] = replace(guest, door=door)
        return True

    def merge(self, other: "Guests", own_key: str) -> bool:
        """Whoever is let in at a machine that can take over is let in here, and whoever was withdrawn there
        is out here, the last word counts; whether anything is new."""
        before = self.as_data()
        for key, gone_s in other.gone.items():
            guest = self.by_key.get(key)
            if guest is None or guest.since_s < gone_s:
                self.by_key.pop(key, None)
                self.gone[key] = max(gone_s, self.gone.get(key, 0.0))
        for key, guest in other.by_key.items():
            there = self.by_key.get(key)
            newer = there is None or there.since_s < guest.since_s
            if (
                key != own_key
                and newer
                and self.gone.get(key, -1.0) < guest.since_s
                and len(self.by_key) < MOST
            ):
                self.by_key[key] = guest if there is None or guest.door else replace(guest, door=there.door)
        return self.as_data() != before

    def as_data(self) -> dict[str, Any]:
        """As plain data."""
        return {"guests": [asdict(g) for g in self.by_key.values()], "gone": dict(self.gone)}

    @classmethod
    def from_data(cls, data: dict[str, Any]) -> "Guests":
        """From :meth:`as_data`; what is none is left out."""
        found = cls()
        for one in list(data.get("guests", []))[:MOST]:
            with contextlib.suppress(TypeError, ValueError):
                guest = Guest(**one)
                if guest.seat in SEATS and len(guest.key) == 40:
                    found.by_key[guest.key] = guest
        for key, gone_s in list(dict(data.get("gone", {})).items())[: 8 * MOST]:
            found.gone[str(key)] = float(gone_s)
        return found


def read_guests(runs: Path) -> Guests:
    """Those of the runs in a folder; nobody where the file is gone or cannot be read."""
    with contextlib.suppress(OSError, ValueError, TypeError, AttributeError):
        return Guests.from_data(json.loads((runs / FILE).read_text(encoding="utf-8")))
    return Guests()


def keep_guests(runs: Path, guests: Guests) -> None:
    """Write them beside the runs; raises OSError."""
    write_private(runs / FILE, json.dumps(guests.as_data(), indent=1))
