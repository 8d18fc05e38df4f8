"""A show with nothing in it yet: the usual departments and one song to begin with."""

from showcaller.editing.importing import UNTOUCHED
from showcaller.editing.naming import slug
from showcaller.model import Show

_DEPARTMENTS = (
    ("lights", "Lights", "LX", "circle", "yellow"),
    ("video", "Video", "VID", "square", "sky"),
    ("sound", "Sound", "SND", "diamond", "orange"),
    ("spots", "Spots", "SP", "triangle", "white"),
    ("moves", "Moves", "MV", "bar", "pink"),
    ("deck", "Deck", "DK", "hexagon", "green"),
)


def blank_show(name: str) -> Show:
    """A new show of that name."""
    plain = name.replace("-", " ").replace("_", " ").strip().capitalize() or "New show"
    return Show.model_validate(
        {
            "format": "showcaller/show", "version": 2, "id": slug(name), "name": plain,
            "act": "the act", "venue": "the venue", "starts_at": "20:00", "curfew": "23:00",
            "departments": [
                {"id": i, "name": n, "letters": letters, "shape": shape, "hue": hue}
                for i, n, letters, shape, hue in _DEPARTMENTS
            ],
            "items": [{"kind": "song", "id": "new-song", "name": UNTOUCHED, "length_s": 240}],
        }
    )  # fmt: skip
