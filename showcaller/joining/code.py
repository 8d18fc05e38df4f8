"""The code that lets a machine in once: six digits, shown on the caller's desk. Pure; time (s) is given.

A code is good for one machine and five minutes. Whoever types it wrong three times has used it up, and no
other counts within two seconds: of a million codes a stranger can try three, while somebody looks on.
"""

import secrets
from dataclasses import dataclass

DIGITS = 6
LASTS_S = 300.0
WRONG = 3
PAUSE_S = 2.0


@dataclass
class Code:
    """``seat`` is the one it lets in to."""

    digits: str
    seat: str
    until_s: float
    wrong: int = 0
    _tried_s: float = -1e9

    @classmethod
    def new(cls, seat: str, now_s: float) -> "Code":
        """A fresh one."""
        return cls(f"{secrets.randbelow(10**DIGITS):0{DIGITS}}", seat, now_s + LASTS_S)

    def is_good(self, now_s: float) -> bool:
        """Whether it lets anybody in still."""
        return now_s < self.until_s and self.wrong < WRONG

    def may_try(self, now_s: float) -> bool:
        """Whether a try counts now; one that does is a wrong one until :meth:`right`."""
        if not self.is_good(now_s) or now_s - self._tried_s < PAUSE_S:
            return False
        self._tried_s = now_s
        self.wrong += 1
        return True

    def right(self) -> None:
        """It has let a machine in, and lets in no other."""
        self.until_s = 0.0
