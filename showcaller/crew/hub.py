"""All pages that are connected: each is told what concerns its position, and asks what is its own to ask."""

import json
import logging
import time
from collections.abc import Callable
from typing import Any

from showcaller.crew.asking_rate import AskingRate
from showcaller.crew.entry import Door, Session
from showcaller.crew.following import Asked, Follower, Result, Told
from showcaller.crew.page import WITHDRAWN, CrewPage
from showcaller.crew.positions import Position
from showcaller.run import commands as c

log = logging.getLogger(__name__)

NO_RUN = json.dumps({"k": "state", "phase": "none"})
ALL_ASK_PER_S, ALL_BURST = 30.0, 60.0
"""What all pages together may ask of the engine."""


def speaker(session: Session, position: Position) -> str:
    """Who it is in the log: ``Lights · Kim``."""
    return f"{position.name} · {session.name}" if session.name else position.name


class Hub:
    """Belongs to the server's thread. ``door`` says whose session still counts."""

    def __init__(self, door: Door, now_s: Callable[[], float]) -> None:
        self.pages: list[CrewPage] = []
        self.positions: tuple[Position, ...] = ()
        self.follower: Follower | None = None
        self._door = door
        self._now_s = now_s
        self._states: dict[str, tuple[dict[str, Any], str]] = {}
        self._sheets: dict[str, tuple[dict[str, Any], str]] = {}
        self._running = False
        self._asks = AskingRate(ALL_ASK_PER_S, ALL_BURST)

    def add(self, page: CrewPage, session: Session) -> None:
        """A page has connected; it is told at once what is known."""
        page.session, page.position = session.id, session.position
        self.pages.append(page)
        self._want()
        self._tell_all(page)

    def remove(self, page: CrewPage) -> None:
        """It is gone."""
        self.pages.remove(page)
        self._want()

    def position_of(self, key: str) -> Position | None:
        """A position of the show, by its key."""
        return next((p for p in self.positions if p.key == key), None)

    def beat(self, stamp: float) -> dict[str, Any]:
        """The answer to a page's heartbeat: its own stamp back, whether this server is to be believed, and
        the run's clock."""
        follower = self.follower
        clock = None if follower is None else follower.clock
        found = {"k": "beat", "n": stamp, "live": follower is not None and follower.is_live()}
        if clock is not None:
            now_ns = clock.now_ns()
            found |= {
                "t": now_ns // 1_000_000,
                "speed": clock.speed,
                "wall": clock.wall_ns(now_ns) // 1_000_000,
            }
        return found

    def take(self, told: Told) -> None:
        """What the follower has found."""
        if told.positions:
            self.positions = told.positions
        self._running = bool(told.states) or (self.follower is not None and self.follower.clock is not None)
        if not self._running:
            self._states.clear()
            self._sheets.clear()
        changed = _renewed(self._states, told.states)
        sheets = {} if told.sheets is None else _renewed(self._sheets, told.sheets)
        for page in self.pages:
            if not self._running:
                page.tell("state", NO_RUN)
            if page.position in changed:
                page.tell("state", changed[page.position])
            if page.position in sheets:
                page.tell("sheet", sheets[page.position])
        for result in told.results:
            self._tell_result(result)

    def _tell_all(self, page: CrewPage) -> None:
        if not self._running:
            page.tell("state", NO_RUN)
        for what, known in (("state", self._states), ("sheet", self._sheets)):
            if page.position in known:
                page.tell(what, known[page.position][1])

    def _tell_result(self, result: Result) -> None:
        text = json.dumps({"k": "result", "refused": result.refused})
        for page in self.pages:
            if page.who == result.who:
                page.tell("result", text)

    def hear(self, page: CrewPage, said: dict[str, Any]) -> None:
        """A page asks something.

        Raises:
            KeyError, TypeError, ValueError: nothing a page asks.
        """
        session, position = self._door.sessions.get(page.session), self.position_of(page.position)
        if session is None or position is None or self.follower is None:
            return
        command = asked(said, session, position)
        if command is None:
            log.warning("%s asked for what is not its to ask: %s", page.who, str(said.get("k"))[:40])
        elif not (page.asks.take(time.monotonic()) and self._asks.take(time.monotonic())):
            log.warning("%s asks too much at once; it was not passed on", page.who)
        else:
            page.who = speaker(session, position)
            self.follower.ask(command)

    def sweep(self) -> None:
        """Close what is no longer let in; what is to be followed may be another."""
        for page in self.pages:
            session = self._door.sessions.get(page.session)
            if session is None or session.until_s <= self._now_s():
                page.close(WITHDRAWN)
            elif session.position != page.position:
                page.position = session.position
                self._tell_all(page)
        self._want()

    def connected(self) -> dict[str, int]:
        """How many pages each session has open."""
        found: dict[str, int] = {}
        for page in self.pages:
            found[page.session] = found.get(page.session, 0) + 1
        return found

    def _want(self) -> None:
        if self.follower is not None:
            self.follower.wanted = frozenset(page.position for page in self.pages)


def asked(said: dict[str, Any], session: Session, position: Position) -> Asked | None:
    """The command a page asks for; None if it is not its to ask.

    Raises:
        KeyError, TypeError, ValueError: nothing a page asks.
    """
    who = speaker(session, position)
    match said["k"]:
        case "standing by" if position.department:
            return c.StandBy(position.department, who)
        case "clear" if not isinstance(said["id"], str):
            raise ValueError("a clearance has a name")
        case "clear" if said["id"] in position.clearances:
            value = said.get("value")
            if value is not None and (isinstance(value, bool) or not abs(float(value)) < 1e9):
                raise ValueError("a reading is a number")
            return c.Clear(said["id"], said["ok"] is True, None if value is None else float(value), who)
        case "tick" if not isinstance(said["page"], str) or type(said["line"]) is not int:
            raise ValueError("a tick has a page and a line")
        case "tick" if said["page"] in position.checklists:
            page, line = said["page"], said["line"]
            return c.TickLine(page, line, who) if said["on"] is True else c.UntickLine(page, line, who)
        case "standing by" | "clear" | "tick":
            return None
    raise ValueError("no page asks that")


def _renewed(
    known: dict[str, tuple[dict[str, Any], str]], found: dict[str, dict[str, Any]]
) -> dict[str, str]:
    """What is another than it was, as text; it is known from here on."""
    changed: dict[str, str] = {}
    for key in known.keys() - found.keys():  # nobody looks at it: what was known of it grows old
        del known[key]
    for key, value in found.items():
        before = known.get(key)
        if before is None or before[0] != value:
            text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
            known[key] = (value, text)
            changed[key] = text
    return changed


def wall_s() -> float:
    """Now, as sessions and links are dated."""
    return time.time()
