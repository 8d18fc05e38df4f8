"""What is wrong with a source's file, as one sentence; and what is to be known of it in words."""

from pathlib import Path

from showcaller.model import Source
from showcaller.model.media import FileFacts
from showcaller.outside import Refused
from showcaller.outside.media import allowed_file, is_camera, mark_of

TEST = "test:"
"""Before the name of a test picture, which is no file."""


def media_of_test(card: str, surface: str) -> str:
    """A source's ``media`` that is a test picture: of the surface with this id; empty: the first."""
    return f"{TEST}{card}@{surface}" if surface else f"{TEST}{card}"


def split_test(media: str) -> tuple[str, str]:
    """(which test picture, the id of its surface; empty for the first)."""
    card, _, surface = media.removeprefix(TEST).partition("@")
    return card, surface


def file_trouble(source: Source, folder: Path | None, allowed: tuple[Path, ...] = ()) -> str:
    """Why a source's file cannot be relied on: missing, elsewhere, changed since it was read; else empty."""
    if source.media is None or source.media.startswith(TEST):
        return ""
    if is_camera(source.media):
        return "" if Path(source.media).exists() else f"no camera at {source.media}"
    try:
        path = allowed_file(source.media, folder, allowed)
        if source.read is not None and mark_of(path) != source.read.mark:
            return f"changed since it was read: {source.media}; read it again"
    except Refused as error:
        return str(error)
    except OSError as error:
        return f"{source.media} cannot be read: {(error.strerror or str(error)).lower()}"
    return shape_trouble(source)


def shape_trouble(source: Source) -> str:
    """Why a source is not of its file's shape; empty if it is, or if nothing was read."""
    file = source.read
    if file is None or source.has_shape_of(file):
        return ""
    return f"{file.name} is {size_words(file)}, not {source.width_px} × {source.height_px}; read it again"


def size_words(file: FileFacts) -> str:
    """``720 × 576 px, 16:15 pixels`` as far as it needs saying."""
    wide = "" if file.pixel_aspect == 1 else f" (pixels {file.pixel_aspect:.4g} wide)"
    return f"{file.width_px} × {file.height_px} px{wide}"


def facts_words(source: Source) -> str:
    """All that was read, in one line; says so if nothing was."""
    if source.media is None:
        return "no file"
    if source.media.startswith(TEST):
        card, surface = split_test(source.media)
        return f"test picture: {card}" + (f", of {surface}" if surface else "")
    file = source.read
    if file is None:
        return f"{source.media}: not read yet"
    parts = [size_words(file)]
    if file.width_px < source.width_px and source.has_shape_of(file):
        parts.append(f"a copy at {100 * file.width_px / source.width_px:.0f} %")
    if file.rate is not None:
        above, _, below = file.rate.partition("/")
        parts.append(f"{float(above) / float(below or 1):.5g} fps")
    if file.length_s is not None:
        parts.append(f"{file.length_s:.2f} s")
    parts += [file.codec, "with opacity" if file.alpha else "no opacity"]
    parts.append(f"{file.colour_range} range, {file.matrix}")
    if file.sound:
        parts.append(", ".join(filter(None, ("with sound", file.loudness_words))))
    return ", ".join(parts)
