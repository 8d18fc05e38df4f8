"""When other machines were heard last, and since when they are silent. Takes time (s) as an argument."""

SILENT_S = 0.5
"""So long without a word, of twenty and more a second, a machine is not heard any more."""


class LastHeard:
    """By the machines' keys."""

    def __init__(self) -> None:
        self._heard_s: dict[str, float] = {}
        self._silent: set[str] = set()

    def heard(self, key: str, now_s: float) -> float | None:
        """A machine was heard; how long it had been silent, None if it was not, 0 at the first time."""
        before_s = self._heard_s.get(key)
        self._heard_s[key] = now_s
        if before_s is None:
            return 0.0
        if key in self._silent or now_s - before_s > SILENT_S:
            self._silent.discard(key)
            return now_s - before_s
        return None

    def fell_silent(self, now_s: float) -> list[str]:
        """Those that are not heard any more, each once."""
        found = [
            key for key, at_s in self._heard_s.items() if now_s - at_s > SILENT_S and key not in self._silent
        ]
        self._silent.update(found)
        return found

    def within(self, key: str, s: float, now_s: float) -> bool:
        """Whether a machine was heard in the last so many seconds."""
        return now_s - self._heard_s.get(key, -1e9) < s
