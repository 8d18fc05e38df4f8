"""Test pictures and templates as files at the wall's own pixels: PNG, and movies for who makes media."""

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import cv2
import numpy as np

from showcaller.model import Show, Wall
from showcaller.screen.compose.pool import Pixels
from showcaller.screen.errors import ClipError
from showcaller.screen.testcards import BAR_S, TestCard, card_named, drawn
from showcaller.timing.timecode import rate_named

STILLS = ("grid", "ramp", "white", "white 50", "red", "green", "blue", "black", "circles")
BLACK_S = 10.0


def write_test_files(show: Show, folder: Path, which: str = "", surface: str = "") -> Iterator[Path]:
    """Write all, or one by its name: ``pixel map``, ``black movie``, or a test picture; tells each file. The
    files of a further surface have its id before their name.

    Args:
        surface: the name of the only surface to write them for, or its id; empty: all.

    Raises:
        ClipError: the show has no wall, there is none of that name, no such surface, or it cannot be written.
        OSError: the folder cannot be written to.
    """
    if show.wall is None:
        raise ClipError(f"{show.name} has no wall; set one up in Wall first")
    word = surface.strip().lower()
    meant = [s for s in show.surfaces if not word or word in (s.name.lower(), s.id)]
    if not meant:
        have = ", ".join(s.name for s in show.surfaces)
        raise ClipError(f"no surface is called '{surface.strip()[:30]}'; there are {have}")
    for wall in meant:
        jobs = _jobs(wall, rate_named(show.timecode_rate).fps)
        wanted = [which.strip().lower().replace(" ", "-").rstrip("-%")] if which.strip() else list(jobs)
        if wanted[0] not in jobs:
            card = card_named(which)
            name = card.words.replace(" %", "").replace(" ", "-")
            jobs, wanted = {name: _png(drawn(card, wall))}, [name]
        folder.mkdir(parents=True, exist_ok=True)
        of = "" if wall is show.wall else f"{wall.id}-"
        for name in wanted:
            yield jobs[name](folder / f"{show.id}-{of}{name}")


def _jobs(wall: Wall, rate: Fraction) -> dict[str, Callable[[Path], Path]]:
    """Every file by its name."""
    jobs = {name.replace(" ", "-"): _png(drawn(card_named(name), wall)) for name in STILLS}
    template = drawn(TestCard("map"), wall)
    jobs["pixel-map"] = _png(template)
    jobs["black-movie"] = _movie(lambda _s: template, rate, BLACK_S)
    jobs["bar-movie"] = _movie(lambda at_s: drawn(TestCard("bar"), wall, at_s), rate, BAR_S)
    return jobs


def _png(picture: Pixels) -> Callable[[Path], Path]:
    def write(stem: Path) -> Path:
        path = stem.with_name(f"{stem.name}.png")
        done, data = cv2.imencode(".png", picture)
        if not done:
            raise ClipError(
                f"{path.name} cannot be made as a PNG: {picture.shape[1]} × {picture.shape[0]} px"
            )
        path.write_bytes(bytes(data))
        return path

    return write


def _movie(picture: Callable[[float], Pixels], rate: Fraction, length_s: float) -> Callable[[Path], Path]:
    """H.264 in MP4, BT.709, limited range; with an odd number of rows or columns all of its colour."""

    def write(stem: Path) -> Path:
        path = stem.with_name(f"{stem.name}.mp4")
        high, wide = picture(0.0).shape[:2]
        samples = "yuv420p" if high % 2 == wide % 2 == 0 else "yuv444p"
        try:
            with av.open(str(path), "w") as file:
                stream = file.add_stream("libx264", rate, options={"preset": "veryfast", "crf": "16"})
                stream.width, stream.height, stream.pix_fmt = wide, high, samples
                context: Any = stream.codec_context
                context.color_primaries = context.color_trc = context.colorspace = context.color_range = 1
                before: Pixels | None = None
                frame: Any = None
                for n in range(round(length_s * rate)):
                    now = picture(float(n / rate))
                    if now is not before:
                        frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(now), "bgr24")
                        frame = frame.reformat(format=samples, dst_colorspace="ITU709")
                    before = now
                    frame.pts, frame.time_base = n, 1 / rate
                    file.mux(stream.encode(frame))
                file.mux(stream.encode(None))
        except (av.error.FFmpegError, ValueError) as error:
            path.unlink(missing_ok=True)
            raise ClipError(f"{path.name} cannot be written as a movie ({error})") from None
        return path

    return write
