"""What is sent to the lamps of the cue lights, as lines of text: ``Lights standby: Wall: /lamp/lights 1``."""

import re
from typing import Any

from showcaller.editing.changes import ChangeError
from showcaller.editing.forms.field import one_of
from showcaller.editing.forms.messages import message_text, parse_message
from showcaller.model import Show
from showcaller.values import Struct

HINT = (
    "Lights standby: Desk: /lamp/lights 1 · Lights standing by: Desk: /lamp/lights 2 "
    "· Lights go: Synth: note 1 60 127 · Lights off: Desk: /lamp/lights 0"
)
"""What may be typed."""

_HEAD = re.compile(r"^(.+?)\s+(standby|standing by|go|off)$", re.IGNORECASE)


class CueLightLine(Struct, frozen=True):
    """A message to a department's lamp: for which ``state``, its place among those, and as it is typed."""

    department: str
    state: str
    index: int
    text: str


def cue_light_lines(show: Show) -> tuple[CueLightLine, ...]:
    """All of them, by department and state."""
    return tuple(
        CueLightLine(d.id, state, n, f"{d.name} {state.replace('_', ' ')}: {message_text(show, message)}")
        for d in show.departments
        for state in ("standby", "standing_by", "go", "off")
        for n, message in enumerate(getattr(d.cue_light, state))
    )


def parse_cue_light(show: Show, text: str) -> tuple[str, str, dict[str, Any]]:
    """(the department's id, the state, the message in the document's form).

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    head, colon, rest = text.partition(":")
    found = _HEAD.match(head.strip())
    if not colon or found is None:
        meant = f"'{head.strip()}' is not a department and standby, standing by, go or off"
        raise ChangeError(f"{meant}; give {HINT.split(' · ', maxsplit=1)[0]}")
    names = [(d.id, (d.name, d.letters)) for d in show.departments]
    department = one_of(found.group(1), names, "department")
    return department, found.group(2).lower().replace(" ", "_"), parse_message(show, rest.strip())
