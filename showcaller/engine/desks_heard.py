"""Which desks are heard from. Takes the time as an argument."""

from collections.abc import Callable

from showcaller.run import events as ev

GONE_AFTER_S = 2.0
"""A desk that says nothing for this long is gone (it speaks twice a second)."""
MOST_DESKS = 64


class Desks:
    """Reports who joins and who leaves. The engine has just begun at ``began_s``: nobody is gone before
    there was time to be heard."""

    def __init__(self, report: Callable[[ev.Event], None]) -> None:
        self._report = report
        self._began_s: float | None = None
        self._last_s: dict[str, float] = {}
        self._names: dict[str, str] = {}
        self._links: dict[int, str] = {}

    def heard(self, desk: str, name: str, now_s: float) -> None:
        """A desk has said that it is there."""
        if desk not in self._names:
            if len(self._names) >= MOST_DESKS:
                return
            self._report(ev.DeskJoined(desk=desk, name=name))
        self._last_s[desk], self._names[desk] = now_s, name

    def linked(self, desk: str, link: int) -> None:
        """A desk speaks by this connection."""
        if self._links.get(link) != desk:
            self._links[link] = desk

    def closed(self, link: int) -> None:
        """A connection is over: whoever spoke by it alone is gone, without waiting."""
        desk = self._links.pop(link, None)
        if desk is not None and desk not in self._links.values():
            self._leave(desk)

    def look(self, now_s: float) -> None:
        """Look now and then who has fallen silent."""
        self._began_s = now_s if self._began_s is None else self._began_s
        for desk, last_s in list(self._last_s.items()):
            if now_s - last_s > GONE_AFTER_S:
                self._leave(desk)

    def is_gone(self, desk: str, now_s: float) -> bool:
        """Whether a desk that was there is not any more."""
        if desk in self._last_s:
            return now_s - self._last_s[desk] > GONE_AFTER_S
        return self._began_s is not None and now_s - self._began_s > GONE_AFTER_S

    def _leave(self, desk: str) -> None:
        self._last_s.pop(desk, None)
        name = self._names.pop(desk, None)
        if name is not None:
            self._report(ev.DeskLeft(desk=desk, name=name))
