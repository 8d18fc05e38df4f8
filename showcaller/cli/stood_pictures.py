"""A picture of every look that stood, drawn anew from the log, as files."""

from collections.abc import Sequence
from pathlib import Path

import cv2
from platformdirs import user_config_path

from showcaller.outside.media import allowed_folders
from showcaller.review.stood import Stood
from showcaller.review.wall_at import WallAfterwards
from showcaller.run.runlog import Record
from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.footage import Footage
from showcaller.screen.spread import spread_of
from showcaller.timing.plan import Plan

WIDTH_PX = 1280


def stood_pictures(
    opened: Plan, plan: Plan, records: Sequence[Record], found: Sequence[Stood], folder: Path
) -> list[Path]:
    """Write a PNG a look, ``1 wide.png``, the wall as it was when the look was there.

    Raises:
        OSError: the folder cannot be written to.
    """
    if plan.show.wall is None:
        return []
    wall = spread_of(plan.show).wall
    folder.mkdir(parents=True, exist_ok=True)
    canvas = Canvas(wall, WIDTH_PX, max(8, round(WIDTH_PX * wall.height_m / wall.width_m)))
    footage = Footage(
        plan.show.sources, allowed=allowed_folders(user_config_path("showcaller")), walls=plan.show.surfaces
    )
    afterwards = WallAfterwards(opened, plan, records)
    made = []
    try:
        for n, one in enumerate(found, 1):
            then = afterwards.at(one.since.t_ns)
            if then is None:
                continue
            name = "".join(c if c.isalnum() or c in " -" else "-" for c in one.look).strip().lower()
            path = folder / f"{n:02} {name}.png"
            _, body = cv2.imencode(".png", canvas.compose(then.tonight, footage.at))
            path.write_bytes(body.tobytes())
            made.append(path)
    finally:
        footage.close()
    return made
