"""A source's file is read: what it is, how large, how long; in a process of its own, as all from outside."""

import contextlib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from showcaller.editing.changes import Change, SetFields, Together
from showcaller.model import Show, Source
from showcaller.model.media import FileFacts
from showcaller.outside import Limits, Refused, Within
from showcaller.outside.asking import ask
from showcaller.outside.limits import Tell
from showcaller.outside.media import OPEN_AS, allowed_file, is_camera, mark_of, read_still, still_facts

PROBING = Limits(time_s=10.0)
_RANGES = {1: "limited", 2: "full"}
# ISO/IEC 23091-2 (H.273), table 4: matrix coefficients, by FFmpeg's names.
_MATRICES = {
    0: "gbr", 1: "bt709", 4: "fcc", 5: "bt470bg", 6: "smpte170m", 7: "smpte240m", 8: "ycgco",
    9: "bt2020nc", 10: "bt2020c",
}  # fmt: skip


def has_file(source: Source) -> bool:
    """Whether there is a file to read: not with a camera's device, nor with a test picture."""
    return source.media is not None and not is_camera(source.media) and not source.media.startswith("test:")


def read_file(
    source: Source,
    folder: Path | None,
    allowed: tuple[Path, ...] = (),
    seen: Tell = lambda _what, _done, _of: None,
    stop: Callable[[], bool] = lambda: False,
) -> FileFacts:
    """What a source's file says; waits for a process.

    Raises:
        Refused: missing, elsewhere than allowed, or not what it should be; one sentence.
        Stopped: ``stop`` said so.
    """
    name = source.media or ""
    path = allowed_file(name, folder, allowed)
    reader = "showcaller.editing.reading_media:look"
    found = ask(reader, str(path), name, name=name, limits=PROBING, seen=seen, stop=stop)
    return believed(found, name)


def believed(found: Any, name: str) -> FileFacts:
    """What a child said, looked at: a damaged file says of itself what cannot be.

    Raises:
        Refused: it is not what a file can be.
    """
    try:
        return FileFacts.model_validate(found)
    except ValidationError as error:
        field = str(error.errors()[0]["loc"][0]).removesuffix("_px").removesuffix("_s").replace("_", " ")
        raise Refused(f"{name} says of its {field} what cannot be; write it again") from None


def look(_within: Within, path: str, name: str) -> dict[str, Any]:
    """The child's part of :func:`read_file`."""
    if path.lower().endswith((".png", ".jpg", ".jpeg")):
        wide, high, codec, alpha = still_facts(read_still(Path(path), name))
        size = {"width_px": wide, "height_px": high}
        return {"name": name, "mark": mark_of(Path(path)), **size, "codec": codec, "alpha": alpha}
    import av  # noqa: PLC0415 - only the child needs it

    try:
        with av.open(path, options=dict(OPEN_AS), metadata_errors="replace") as container:
            if not container.streams.video:
                raise Refused(f"{name} has no picture in it; give a video, a PNG or a JPEG")
            stream: Any = container.streams.video[0]
            return {"name": name, "mark": mark_of(Path(path)), **_moving(container, stream, name)}
    except (av.FFmpegError, OSError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise Refused(f"{name} cannot be read as a video ({reason}); give a video, a PNG or a JPEG") from None


def _moving(container: Any, stream: Any, name: str) -> dict[str, Any]:
    context = stream.codec_context
    if context is None:
        raise Refused(f"{name} is coded in a way that is not known here; write it as H.264 or ProRes")
    shape = stream.sample_aspect_ratio or context.sample_aspect_ratio or Fraction(1)
    rate = Fraction(stream.average_rate or stream.guessed_rate or stream.base_rate or 0)
    length_s = (
        float(stream.duration * stream.time_base) if stream.duration else (container.duration or 0) / 1e6
    )
    alpha = stream.metadata.get("alpha_mode") == "1"
    with contextlib.suppress(AttributeError):  # a format that the library has no name for
        alpha = alpha or any(part.is_alpha for part in context.format.components)
    facts = {
        "width_px": stream.width, "height_px": stream.height, "pixel_aspect": float(shape) or 1.0,
        "codec": context.codec.canonical_name if hasattr(context.codec, "canonical_name") else context.name,
        "alpha": alpha,
        "colour_range": _RANGES.get(int(context.color_range or 0), "not said"),
        "matrix": _MATRICES.get(int(context.colorspace if context.colorspace is not None else 2), "not said"),
        "sound": bool(container.streams.audio), "length_s": round(length_s, 3),
    }  # fmt: skip
    if rate > 0:
        facts["rate"] = str(rate.limit_denominator(1_000_000))
    return facts


def taken(source: Source, file: FileFacts) -> dict[str, Any]:
    """The fields of a source once its file was read: the file's shape, unless it has that already, larger.

    A source may be larger than the file of the same shape: a small copy to plan with.
    """
    fields: dict[str, Any] = {"file": file.model_dump(mode="json", exclude_defaults=True)}
    if not source.has_shape_of(file) or file.width_px > source.width_px:
        size = {"width_px": file.width_px, "height_px": file.height_px}
        fields |= {**size, "pixel_aspect": file.pixel_aspect}
    return fields


def reading_change(show: Show, read: dict[str, FileFacts]) -> Change | None:
    """The change that takes in what was read of the sources' files, by their ids; None: all is as it was."""
    changes: list[Change] = []
    for source in show.sources:
        if source.id in read:
            fields = taken(source, read[source.id])
            was = source.model_dump(mode="json", exclude_defaults=True)
            if any(was.get(name) != value for name, value in fields.items()):
                changes.append(SetFields(at=("sources", source.id), fields=fields))
    return Together(changes=tuple(changes)) if changes else None
