"""What a source's file says, beside what ``ffprobe`` (FFmpeg's own, Debian's) says of the same file."""

import json
import subprocess
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import cv2
import numpy as np
import pytest
from burned import make_recording
from devices import program
from wall_show import wall_show

from showcaller.editing import SetFields, apply
from showcaller.editing.reading_media import look, read_file, reading_change
from showcaller.model import Source
from showcaller.outside import Refused, Within
from showcaller.resources import sample


def a_clip(path: Path, codec: str, pixels: str, size: tuple[int, int], rate: str, **more: Any) -> Path:
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, Fraction(rate))
        (stream.width, stream.height), stream.pix_fmt = size, pixels
        if "shape" in more:
            stream.codec_context.sample_aspect_ratio = Fraction(more["shape"])
        if "matrix" in more:
            stream.codec_context.colorspace = more["matrix"]
        if "range" in more:
            stream.codec_context.color_range = more["range"]
        for n in range(12):
            frame = av.VideoFrame.from_ndarray(np.full((*size[::-1], 3), 20 * n, np.uint8), "rgb24")
            frame = frame.reformat(format=pixels)
            frame.pts, frame.time_base = n, 1 / Fraction(rate)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())
    return path


def probed(path: Path) -> dict[str, Any]:
    words = [
        program("ffprobe"),
        "-v",
        "error",
        "-select_streams",
        "v:0",
        "-show_streams",
        "-of",
        "json",
        str(path),
    ]
    found: dict[str, Any] = json.loads(subprocess.run(words, capture_output=True, check=True).stdout)[
        "streams"
    ][0]
    return found


RANGES = {"tv": "limited", "pc": "full", None: "not said", "unknown": "not said"}


@pytest.mark.parametrize(
    ("name", "codec", "pixels", "size", "rate", "more"),
    [
        ("a.mp4", "libx264", "yuv420p", (1920, 692), "25", {"matrix": 1, "range": 1}),
        ("b.mov", "mpeg4", "yuv420p", (720, 576), "30000/1001", {"shape": "16/15"}),
        ("c.mov", "prores_ks", "yuva444p10le", (320, 180), "24", {}),
        ("d.mkv", "ffv1", "yuv444p", (321, 181), "50", {"range": 2, "matrix": 5}),
        ("e.webm", "libvpx-vp9", "yuv420p", (640, 360), "60", {"matrix": 9}),
    ],
)
def test_a_clip_is_what_ffprobe_says(
    tmp_path: Path, name: str, codec: str, pixels: str, size: tuple[int, int], rate: str, more: dict[str, Any]
) -> None:
    path = a_clip(tmp_path / name, codec, pixels, size, rate, **more)
    ours, theirs = look(Within(), str(path), name), probed(path)
    assert (ours["width_px"], ours["height_px"]) == (theirs["width"], theirs["height"]) == size
    across, down = map(int, theirs.get("sample_aspect_ratio", "1:1").split(":"))
    assert ours["pixel_aspect"] == pytest.approx(across / down if across else 1.0)
    assert Fraction(ours["rate"]) == Fraction(theirs["avg_frame_rate"])
    assert ours["codec"] == theirs["codec_name"]
    assert ours["alpha"] == ("a" in theirs["pix_fmt"].split("p")[0].removeprefix("yuv"))
    assert ours["colour_range"] == RANGES[theirs.get("color_range")]
    matrix = theirs.get("color_space", "unknown")
    assert ours["matrix"] == ("not said" if matrix == "unknown" else matrix)
    if "duration" in theirs:
        assert ours["length_s"] == pytest.approx(float(theirs["duration"]), abs=0.0011)


def test_a_file_is_read_in_a_process_of_its_own_and_is_the_sources_shape_from_then_on(tmp_path: Path) -> None:
    make_recording(tmp_path / "sea.mp4", 30, Fraction(25), sound=np.zeros(4800, np.float32))
    picture = np.zeros((20, 30, 4), np.uint8)
    cv2.imwrite(str(tmp_path / "mark.png"), picture)
    show = wall_show()
    for ident, name in (("sea", "sea.mp4"), ("mark", "mark.png"), ("cam-1", "sea.mp4")):
        show, _ = apply(show, SetFields(at=("sources", ident), fields={"media": name}))
    read = {s.id: read_file(s, tmp_path) for s in show.sources if s.media}
    change = reading_change(show, read)
    assert change is not None
    show, _ = apply(show, change)
    sea, mark, cam = (next(s for s in show.sources if s.id == i) for i in ("sea", "mark", "cam-1"))
    assert sea.read is not None
    assert (sea.width_px, sea.height_px) == (sea.read.width_px, sea.read.height_px)  # 4:1 it was not
    assert (sea.read.rate, sea.read.length_s, sea.read.sound) == ("25", 1.2, True)
    assert mark.read is not None
    assert (mark.width_px, mark.height_px, mark.read.alpha, mark.read.codec) == (30, 20, True, "png")
    assert (cam.width_px, cam.height_px) == (1920, 1080), "a smaller copy of its shape changes no size"
    assert reading_change(show, read) is None
    (tmp_path / "text.mp4").write_text("hello")
    for name, why in (
        ("none.mp4", "no file"),
        ("text.mp4", "cannot be read as a video"),
        ("../x.mp4", "outside"),
    ):
        with pytest.raises(Refused, match=why):
            read_file(Source(id="s", name="S", kind="clip", media=name), tmp_path)


def test_what_the_sample_says_of_its_files_is_so(tmp_path: Path) -> None:
    from showcaller.model import read_show

    for source in read_show(sample("breakwater.json")).sources:
        found = look(Within(), str(sample(str(source.media))), str(source.media))
        assert source.read is not None
        assert source.read.model_dump(exclude_defaults=True) == type(source.read)(**found).model_dump(
            exclude_defaults=True
        )
