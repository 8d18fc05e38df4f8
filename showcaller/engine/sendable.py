"""Whether everything a show sends can be sent: known while it is written, not when the cue fires."""

from collections.abc import Iterator

from showcaller.engine.encode import EncodeError, encode
from showcaller.model import Show
from showcaller.timing.plan import Problem


def unsendable(show: Show) -> Iterator[Problem]:
    """A problem for each message, of a cue or a cue light, that cannot be put into bytes at its rate."""
    for n, department in enumerate(show.departments):
        for message in department.cue_light.every:
            try:
                encode(message, show.timecode_rate)
            except EncodeError as error:
                yield Problem(f"departments[{n}].cue_light", f"{department.name}'s cue light: {error}")
    for i, item in enumerate(show.items):
        for k, cue in enumerate(item.cues):
            for n, message in enumerate(cue.messages):
                try:
                    encode(message, show.timecode_rate)
                except EncodeError as error:
                    name = f"{show.department(cue.department).name} {cue.number}"
                    path = f"items[{i}] {item.name}: cues[{k}].messages[{n}]"
                    yield Problem(path, f"{name}: {error}")
