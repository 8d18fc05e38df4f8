"""Draw the sample's moving pictures again: ``python sample_shows/build_media.py [NAME …]``; three minutes.

Everything in ``media/`` is drawn by these scripts and nobody else's: it may be used as the rest of the
repository may. Every clip is a loop. The clips are small copies, 1400 of the wall's 3500 px, as one plans
with on a desk; the wall's own player would have them in full.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import cv2
import media_singers
import media_wall
from media_drawing import Picture

FOLDER = Path(__file__).parent / "media"
RATE = 25
CLIPS: dict[str, tuple[Callable[[float], Picture], float, float]] = {
    "harbour": (media_wall.harbour, 10, 0.4),
    "tide": (media_wall.tide, 10, 0.4),
    "lamps": (media_wall.lamps, 8, 0.4),
    "ropes": (media_wall.ropes, 6, 0.4),
    "gulls": (media_wall.gulls, 8, 0.4),
    "crane": (media_wall.crane, 8, 0.4),
    "fires": (media_wall.fires, 6, 0.4),
    "letters": (media_wall.letters, 12, 0.4),
    "names": (media_wall.names, 21, 0.5),
    "cam-front": (media_singers.front, 6, 1),
    "cam-left": (media_singers.left, 6, 1),
    "cam-track": (media_singers.track, 8, 1),
    "cam-crane": (media_singers.crane, 8, 1),
    "cam-buoy": (media_singers.buoy, 8, 1),
}
"""Of each file: who draws it, how many seconds it lasts, and at which part of the size it was drawn in."""
COARSE = "24"
"""x264's constant rate factor."""


def write(name: str) -> Path:
    """Draw a clip and code it: H.264 in MP4, 4:2:0, BT.709, limited range, a key frame every second."""
    draw, length_s, scale = CLIPS[name]
    FOLDER.mkdir(exist_ok=True)
    path, frames = FOLDER / f"{name}.mp4", round(length_s * RATE)
    with av.open(str(path), "w", options={"movflags": "+faststart"}) as file:
        options = {"crf": COARSE, "preset": "slow", "tune": "animation"}
        stream = file.add_stream("libx264", RATE, options=options)
        high, wide = draw(0.0).shape[:2]
        stream.width, stream.height = round(wide * scale), round(high * scale)
        stream.pix_fmt, stream.time_base = "yuv420p", Fraction(1, RATE)
        context = stream.codec_context
        context.gop_size = RATE
        context.color_primaries = context.color_trc = context.colorspace = 1
        context.color_range = 1
        for n in range(frames):
            small = cv2.resize(draw(n / frames), (stream.width, stream.height), interpolation=cv2.INTER_AREA)
            frame = av.VideoFrame.from_ndarray(small, "rgb24")
            frame = frame.reformat(format="yuv420p", dst_colorspace="ITU709")
            frame.pts = n
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))
    return path


if __name__ == "__main__":
    for each in sys.argv[1:] or CLIPS:
        made = write(each)
        print(f"{made.name}: {made.stat().st_size / 1000:.0f} kB")  # noqa: T201 - a script says what it did
