"""The small show with a wall, two side screens and a banner: the sides and the banner share a pool."""

import json
from typing import Any

from wall_show import LOOKS, WALL, wall_show

from showcaller.model import Show, parse_show, show_text


def surface(ident: str, name: str, width_m: float, height_m: float, **more: Any) -> dict[str, Any]:
    """A surface of one input, 50 px a metre."""
    wide, high = round(width_m * 50), round(height_m * 50)
    return {
        "id": ident, "name": name, "width_m": width_m, "height_m": height_m, "width_px": wide,
        "height_px": high, "panel_px": [50, 50], "inputs": [
            {"id": f"{ident}-in", "name": name, "x_px": 0, "y_px": 0, "width_px": wide, "height_px": high}],
        **more,
    }  # fmt: skip


SIDES = [
    surface("left", "Side left", 6, 8, pool="rack", stands="left"),
    surface("right", "Side right", 6, 8, pool="rack"),
    surface("banner", "Banner", 40, 2, pool="rack", stands="above"),
]
POOLS = [{"id": "rack", "name": "Rack 2", "channels": 2}]
BOTH = {"left_m": 0, "bottom_m": 1, "width_m": 6, "height_m": 4}


def surface_show(port: int = 9000, **more: Any) -> Show:
    """“Wide” has its camera on both sides too, cropped and mirrored; “Faces” has words on the banner only."""
    body = json.loads(show_text(wall_show(port)))
    looks = json.loads(json.dumps(LOOKS))
    looks[1]["layers"][1]["also"] = [
        {"surface": "left", **BOTH, "crop": {"left": 0.25, "right": 0.25}},
        {"surface": "right", **BOTH, "flip": "across"},
    ]
    looks[2]["layers"].append(
        {"source": "words", "surface": "banner", "left_m": 10, "bottom_m": 0, "width_m": 20, "height_m": 2}
    )
    main = {**WALL, "id": "main", "name": "Main wall"}
    body |= {"surfaces": [main, *SIDES], "pools": POOLS, "looks": looks, **more}
    return parse_show(json.dumps(body))
