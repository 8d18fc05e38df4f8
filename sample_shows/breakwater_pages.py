"""Breakwater's pages that are read aloud, invented like all of it: an example of the form, no procedure."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]


def _line(says: str, who: str = "", clearance: str = "", action: str = "") -> Json:
    fields = {"says": says, "who": who, "clearance": clearance, "action": action}
    return {name: words for name, words in fields.items() if words}


PAGES: list[Json] = [
    {
        "id": "preset", "name": "Preset", "kind": "preset", "reader": "Deputy stage manager",
        "lines": [
            _line("Lights, wall and sound: are you in preset?", "Lights, Video, Sound"),
            _line("Deck, is the stage set?", "Deck chief", "stage-set"),
            _line("Crane at its low mark, enable off?", "Crane operator"),
            _line("Effects isolated, key with the technician?", "Licensed technician"),
            _line("Headsets: answer when I name you.", "Every position"),
        ],
    },
    {
        "id": "house-open", "name": "House open", "kind": "house open", "reader": "Deputy stage manager",
        "lines": [
            _line("Front of house, the stage is ready. You may open when you are.", "House manager"),
            _line("The house is open. Quiet on stage; nobody crosses.", "Every position"),
        ],
    },
    {
        "id": "clearance-call", "name": "Clearance call", "kind": "clearance call", "reader": "Show caller",
        "lines": [
            _line("Front of house, do we have the house?", "House manager"),
            _line("Stage set?", "Deck chief", "stage-set"),
            _line("Buoy?", "Buoy stage manager", "buoy-safe"),
            _line("Wren is at the wing stairs?", "Tamsin Vale"),
            _line("All positions, this is your five.", "Every position"),
        ],
    },
    {
        "id": "show-stop", "name": "Show stop", "kind": "show stop", "reader": "Show caller",
        "lines": [
            _line("Hold, hold, hold. All positions hold where you are.", "Every position"),
            _line("Crane, stop and enable off. Effects, isolate.", "Crane operator, Licensed technician"),
            _line("House manager, we have stopped. What do you need?", "House manager"),
            _line(
                "Ladies and gentlemen, we have paused for a moment. Please stay where you are.",
                "Announcer, if the house manager asks for it",
            ),
            _line("Before we start again. Deck, is the stage set?", "Deck chief", "stage-set"),
            _line("Crowd lane?", "Head of crowd safety", "lane-clear"),
            _line("Crane zone?", "Crane spotter", "crane-zone"),
            _line("Crane, your gust?", "Crane operator", "crane-gust", "over it the crane stays down"),
            _line("House manager, may we start again?", "House manager"),
            _line("All positions, we pick up from the line I give. Stand by.", "Every position"),
        ],
    },
    {
        "id": "weather", "name": "Wind on the dock", "kind": "weather", "reader": "Deputy stage manager",
        "lines": [
            _line("Crane, your gust at the head?", "Crane operator", "crane-gust",
                  "over it the crane comes down and stays down"),
            _line("Dock doors: closed and pinned?", "Deck chief"),
            _line("House manager, the queue outside is yours. What do you decide?", "House manager"),
            _line("Crane zone, are you clear?", "Crane spotter", "crane-zone"),
            _line("We go on without the crane until I say otherwise.", "Every position"),
        ],
    },
    {
        "id": "evacuation", "name": "Handing over to the venue", "kind": "evacuation",
        "reader": "Show caller",
        "lines": [
            _line("Hold, hold, hold. The show has stopped.", "Every position"),
            _line("House manager, the house is yours from now.", "House manager"),
            _line("Crane and effects: off and isolated?", "Crane operator, Licensed technician"),
            _line("Lights, sound: give the house what the venue asks for.", "Lights, Sound"),
            _line("All positions, follow the venue's stewards. Answer when you are out.", "Every position"),
        ],
    },
]  # fmt: skip
