"""Who this desk is to a run that several desks have open. No Qt."""

import contextlib
import secrets
from dataclasses import dataclass, field


@dataclass
class ThisDesk:
    """``id`` tells it from the others, ``name`` is what their people read. ``claims``: whether the calls of a
    desk that is gone may come to it without a question, since it is the same caller back at the keys."""

    id: str = field(default_factory=lambda: secrets.token_hex(4))
    name: str = "caller's desk"
    claims: bool = True

    def is_of_this_machine(self) -> None:
        """It keeps its id wherever the run is, on this machine or another: it begins with the machine's."""
        from showcaller.joining.errors import JoinError  # noqa: PLC0415 - loaded once the window stands
        from showcaller.joining.machine import this_machine  # noqa: PLC0415

        with contextlib.suppress(JoinError):
            machine = this_machine().id
            if not self.id.startswith(machine):
                self.id = machine + self.id

    def sits(self, seat: str, calls: bool) -> None:
        """It is the desk of this seat now; ``calls`` if the show is called from there."""
        self.name, self.claims = f"{seat}'s desk", calls
