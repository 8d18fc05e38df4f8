"""The guides for the first minutes: five steps for each seat, done by doing them at the real desk. No Qt."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol


class KeysInUse(Protocol):
    """The keys in use, by the ids of actions."""

    def __getitem__(self, name: str) -> str:
        """The key that is shown for an action."""


@dataclass(frozen=True, slots=True)
class GuideFacts:
    """What a step is judged by: the area in front, whether a show or rehearsal is open, the kinds of events
    in its log, and the actions done since the guide began."""

    area: str = "Call"
    is_open: bool = False
    kinds: frozenset[str] = frozenset()
    did: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class GuideStep:
    """``words`` name actions in braces, for which their keys are put; ``done`` says whether it was done."""

    words: str
    done: Callable[[GuideFacts], bool] = field(repr=False)


def _in(area: str) -> Callable[[GuideFacts], bool]:
    return lambda facts: facts.area == area


def _had(*kinds: str) -> Callable[[GuideFacts], bool]:
    return lambda facts: bool(facts.kinds & set(kinds))


def _did(*names: str) -> Callable[[GuideFacts], bool]:
    return lambda facts: bool(facts.did & set(names))


GUIDES: dict[str, tuple[GuideStep, ...]] = {
    "caller": (
        GuideStep(
            "{open} opens a show: type your name, then MUTE for a rehearsal, Enter to the rest",
            lambda facts: facts.is_open,
        ),
        GuideStep(
            "Call the line in the box aloud, then {standby}: a warning if there is one, then the standby",
            _had("said standby"),
        ),
        GuideStep("They are standing by: {answer}", _had("answered")),
        GuideStep("On the word go press {go}: the song's clock starts, the ladder comes down", _had("fired")),
        GuideStep("{end} and END closes it; then {drift} shows where the time went", _in("Drift")),
    ),
    "director": (
        GuideStep("{wall} brings the Wall: what the screen shows, to scale", _in("Wall")),
        GuideStep(
            "{wall.look_after} and {wall.look_before} step through the song's looks", _did("wall.look_after")
        ),
        GuideStep(
            "{wall.front} chooses a layer; drag it, or type into its fields", _did("wall.front", "wall.edit")
        ),
        GuideStep("{undo} takes back what you changed", _did("undo")),
        GuideStep("{wall.play} plays the song against the clock; again stops it", _did("wall.play")),
    ),
    "stage": (
        GuideStep("{book} brings the Book: the running order, and a song with its cues", _in("Book")),
        GuideStep(
            "{book.item_after} and {book.item_before} choose an item, {book.edit} types into it",
            _did("book.item_after", "book.item_before"),
        ),
        GuideStep("{book.day} is the day, from get-in to get-out; {leave} goes back", _did("book.day")),
        GuideStep("{book.check} says whether tonight's show is ready; {leave} goes back", _did("book.check")),
        GuideStep("{book.export} writes paper: call script, cue sheets, day sheet", _did("book.export")),
    ),
}
"""By the seat's id."""


class Guide:
    """A guide that is being followed."""

    def __init__(self, seat: str) -> None:
        self._steps = GUIDES[seat]
        self.at = 0

    def look(self, facts: GuideFacts) -> bool:
        """Go on over every step that is done, in order; True if the last one is."""
        while self.at < len(self._steps) and self._steps[self.at].done(facts):
            self.at += 1
        return self.at == len(self._steps)

    @property
    def is_done(self) -> bool:
        """Whether every step was done."""
        return self.at == len(self._steps)

    def words(self, keys: KeysInUse) -> tuple[str, str]:
        """(how far it is, what to do now)."""
        if self.at == len(self._steps):
            return "done", f"That was it. {keys['handbook']} is the handbook, {keys['help']} shows every key"
        step = self._steps[self.at].words
        for name in _names(step):
            step = step.replace(f"{{{name}}}", keys[name])
        return f"{self.at + 1} of {len(self._steps)}", step


def _names(words: str) -> list[str]:
    return [part.split("}")[0] for part in words.split("{")[1:]]
