"""Who may see a page: links that expire, a PIN, sessions. Pure: time (s, Unix) and chance are arguments.

Of a session's secret only the SHA-256 is kept; a link's is kept as it is, to be shown as a QR code, and so is
the PIN.
"""

import secrets
from dataclasses import dataclass, field
from hashlib import sha256
from hmac import compare_digest
from typing import Any

from showcaller.values import Struct, asdict, replace

LINK_LASTS_S = 14 * 3600.0
"""A working day with its get-out."""
SESSION_LASTS_S = 14 * 3600.0
PIN_DIGITS = 6
TYPED = "23456789abcdefghjkmnpqrstuvwxyz"
"""Signs of a link that are told apart in any typeface: no 0 or o, no 1, i or l."""
LINK_SIGNS = 24
"""31 signs each: 118 bits."""
MOST_LINKS, MOST_SESSIONS = 100, 500
LONGEST_NAME = 24


class Invitation(Struct, frozen=True):
    """A way in. ``position`` is the key of the one it is for, empty to choose on the page."""

    id: str
    secret: str
    position: str
    until_s: float


class Session(Struct, frozen=True):
    """A page that is in, by the link ``link``; ``name`` is what its person typed, ``position`` what they
    chose. ``digest`` is that of the secret in its cookie."""

    id: str
    digest: str
    link: str
    name: str
    position: str
    until_s: float
    fixed: bool = False
    """The link is for one position; another cannot be chosen."""


@dataclass
class Door:
    """Links, PIN and sessions. ``changed`` is set by whatever must be kept."""

    pin: str = ""
    links: dict[str, Invitation] = field(default_factory=dict)
    sessions: dict[str, Session] = field(default_factory=dict)
    changed: bool = False

    @classmethod
    def new(cls) -> "Door":
        """With a PIN, and nobody in."""
        return cls(pin=new_pin(), changed=True)

    def invite(self, position: str, now_s: float) -> Invitation:
        """A new link for a position (empty: any)."""
        self._tidy(now_s)
        while len(self.links) >= MOST_LINKS:
            self.withdraw(next(iter(self.links)))
        link = Invitation(secrets.token_hex(4), new_link_secret(), position, now_s + LINK_LASTS_S)
        self.links[link.id] = link
        self.changed = True
        return link

    def link_for(self, position: str, now_s: float) -> Invitation:
        """The link of a position that is good for an hour at least; a new one if there is none."""
        good = [x for x in self.links.values() if x.position == position and x.until_s > now_s + 3600]
        return good[-1] if good else self.invite(position, now_s)

    def knows(self, secret: str, now_s: float) -> bool:
        """Whether a link with this secret lets in."""
        return self._link(secret, now_s) is not None

    def _link(self, secret: str, now_s: float) -> Invitation | None:
        found, typed = None, _digest(as_typed(secret))
        for link in self.links.values():  # all of them, however soon one fits
            if compare_digest(_digest(as_typed(link.secret)), typed) and link.until_s > now_s:
                found = link
        return found

    def let_in(self, secret: str, pin: str, name: str, now_s: float) -> tuple[Session, str] | None:
        """A session and the secret of its cookie; None for a wrong link or PIN, whichever it was."""
        found = self._link(secret, now_s)
        right = compare_digest(_digest(self.pin), _digest(pin))
        if found is None or not right or not self.pin:
            return None
        self._tidy(now_s)
        while len(self.sessions) >= MOST_SESSIONS:
            del self.sessions[next(iter(self.sessions))]
        cookie = secrets.token_urlsafe(32)
        session = Session(
            secrets.token_hex(4),
            _digest(cookie).hex(),
            found.id,
            plain_name(name),
            found.position,
            now_s + SESSION_LASTS_S,
            fixed=bool(found.position),
        )
        self.sessions[session.id] = session
        self.changed = True
        return session, cookie

    def session_of(self, cookie: str, now_s: float) -> Session | None:
        """The session a cookie is of, if it still counts."""
        wanted, found = _digest(cookie).hex(), None
        for session in self.sessions.values():
            if compare_digest(session.digest, wanted) and session.until_s > now_s:
                found = session
        return found

    def take_position(self, session_id: str, position: str) -> Session | None:
        """The session with another position; None where its link does not let it choose."""
        session = self.sessions[session_id]
        if session.fixed and position != session.position:
            return None
        chosen = replace(session, position=position)
        self.sessions[session_id] = chosen
        self.changed = True
        return chosen

    def withdraw(self, link_id: str) -> None:
        """A link no longer lets in, and whoever came by it is out."""
        self.links.pop(link_id, None)
        for session in [s for s in self.sessions.values() if s.link == link_id]:
            del self.sessions[session.id]
        self.changed = True

    def put_out(self, session_id: str) -> None:
        """One session is over."""
        self.changed = self.sessions.pop(session_id, None) is not None or self.changed

    def withdraw_all(self) -> None:
        """Another PIN, no link, nobody in."""
        self.pin = new_pin()
        self.links.clear()
        self.sessions.clear()
        self.changed = True

    def _tidy(self, now_s: float) -> None:
        for link in [x for x in self.links.values() if x.until_s <= now_s]:
            del self.links[link.id]
        for session in [s for s in self.sessions.values() if s.until_s <= now_s]:
            del self.sessions[session.id]

    def as_data(self) -> dict[str, Any]:
        """Plain data to be kept."""
        return {
            "pin": self.pin,
            "links": [asdict(x) for x in self.links.values()],
            "sessions": [asdict(s) for s in self.sessions.values()],
        }

    @classmethod
    def from_data(cls, data: dict[str, Any]) -> "Door":
        """What was kept.

        Raises:
            KeyError, TypeError, AttributeError: it is not what was kept.
        """
        links = [Invitation(**x) for x in data["links"]]
        sessions = [Session(**s) for s in data["sessions"]]
        return cls(str(data["pin"]), {x.id: x for x in links}, {s.id: s for s in sessions})


def new_pin() -> str:
    """Digits nobody can guess."""
    return f"{secrets.randbelow(10**PIN_DIGITS):0{PIN_DIGITS}}"


def new_link_secret() -> str:
    """What a link ends in: signs that can be read off a screen and typed, in fours."""
    signs = "".join(secrets.choice(TYPED) for _ in range(LINK_SIGNS))
    return "-".join(signs[n : n + 4] for n in range(0, LINK_SIGNS, 4))


def as_typed(secret: str) -> str:
    """A link's secret as it is compared: capitals, hyphens and spaces do not count."""
    return "".join(x for x in secret.lower() if x not in "- ")


def plain_name(name: str) -> str:
    """A name as the log and the caller's screen can have it: one line, short, no signs that are not seen."""
    return " ".join("".join(x if x.isprintable() else " " for x in name).split())[:LONGEST_NAME].strip()


def _digest(text: str) -> bytes:
    """Of equal length whatever the text, so that comparing tells nothing; half characters are no error."""
    return sha256(text.encode("utf-8", "surrogatepass")).digest()
