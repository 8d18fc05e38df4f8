"""The key of a delay: how long was announced, or until when. It goes into the projected end."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.outlook import delay_left_s
from showcaller.calling.wording import day_time, span
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c
from showcaller.timing.planned_start import zone_of

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession

_DAY_S = 86_400


class DelayKeys:
    """Announcing holds nothing: that is the hold's key."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys

    def delay(self, session: RunSession, _view: CallView) -> None:
        """Say how long the show is put off."""

        def done(text: str) -> str | None:
            for_s = announced_s(text, day_time(session.wall_ns(), zone_of(session.book.compiled.plan.show)))
            if for_s is None:
                return "type minutes such as 20, a time of day such as until 21:40, or 0: no delay any more"
            by = session.book.state.caller if session.has_calls else session.name
            session.send(c.AnnounceDelay(for_s, by))
            return None

        hint = (
            "minutes such as 20, or until 21:40; 0: no delay any more. It holds and fires nothing: it "
            f"goes into the projected end, until the show resumes. {self._keys['pages']} has the words"
        )
        self._words.ask("Which delay was announced?", done, hint)

    def banner(self, session: RunSession | None) -> str:
        """What stands over the box while a delay is announced."""
        if session is None:
            return ""
        left_s = delay_left_s(session.book, session.now_ns())
        if session.book.state.delay_until_ns is None:
            return ""
        zone = zone_of(session.book.compiled.plan.show)
        until = day_time(session.wall_ns() + int(left_s * 1e9), zone)[:5]
        over = "is over" if left_s <= 0 else f"{span(left_s)} left"
        return f"delay announced to {until}, {over} · {self._keys['delay']}"


def announced_s(text: str, now: str) -> float | None:
    """Seconds of a delay typed as minutes, or as ``until hh:mm`` at a time of day (``hh:mm:ss``); None if it
    is neither."""
    typed = text.strip().lower().removesuffix("min").strip()
    if re.fullmatch(r"\d{1,3}", typed):
        return int(typed) * 60.0
    until = typed.removeprefix("until").strip()
    if not re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", until):
        return None
    hours, minutes = map(int, until.split(":"))
    h, m, s = map(int, now.split(":"))
    return float((hours * 3600 + minutes * 60 - (h * 3600 + m * 60 + s)) % _DAY_S)
