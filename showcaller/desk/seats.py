"""The three seats: which area opens at each, and what of a run its keys may do. Pure."""

from collections.abc import Mapping

from showcaller.desk.action import Action
from showcaller.desk.actions import ACTIONS
from showcaller.values import Struct

SEAT_NAMES = ("caller", "director", "stage")


class Seat(Struct, frozen=True):
    """``letters``: the areas where keys that type act on the run; ``acts``: what may be done to it."""

    id: str
    name: str
    opens: str
    letters: frozenset[str]
    acts: frozenset[str]


_OF_RUN = frozenset(a.id for a in ACTIONS.values() if a.of_run)
_EVERYBODY = frozenset({"open", "note", "incident", "incident_form", "fault", "pages"})
_CLEARANCES = frozenset(a for a in _OF_RUN if a.startswith("clear"))
_CURFEW = frozenset({"last_note", "house_lights", "delay"})

SEATS: Mapping[str, Seat] = {
    "caller": Seat("caller", "caller", "Call", frozenset({"Call"}), _OF_RUN),
    "director": Seat("director", "director", "Wall", frozenset(), _EVERYBODY),
    "stage": Seat(
        "stage", "stage manager", "Book", frozenset(), _EVERYBODY | {"walk"} | _CLEARANCES | _CURFEW
    ),
}


def is_typed(chord: str) -> bool:
    """Whether a key types or moves something where one can type: letters, digits, signs, Space, arrows.

    Keys with Ctrl, Alt or Meta and function keys do not; nobody gives a run a command by writing with them.
    """
    *held, last = chord.split("+") if not chord.endswith("+") else (chord[:-1].strip("+"), "+")
    function = last.upper().startswith("F") and last[1:].isdecimal()
    return not function and not {"Ctrl", "Alt", "Meta"} & set(held)


def may_act(seat: Seat, action: str, has_calls: bool) -> bool:
    """Whether a seat may do something to the run. Whoever has the calls, having opened it, may end it."""
    return action in seat.acts or (action == "end" and has_calls)


def refusal(
    seat: Seat, action: Action, chord: str, area: str, to_call: str, has_calls: bool = False
) -> str | None:
    """Why a key of the run does nothing here, in words; None if it acts. ``to_call`` is the key of Call."""
    if not may_act(seat, action.id, has_calls):
        return f"this is the {seat.name}'s seat: '{action.word}' is the caller's"
    if chord and is_typed(chord) and area not in seat.letters:
        if seat.letters:
            return f"{chord} ({action.word}) acts in Call: {to_call} brings it"
        return f"letters never act on the show at the {seat.name}'s seat; use the menu"
    return None
