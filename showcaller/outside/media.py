"""Which media files may be opened, and as what: a show that came by e-mail names files of its own choosing.

Only ordinary files in the show's folder, or in folders the user has allowed on this machine; only the formats
listed here, none of which names other files; no protocol but plain files.
"""

import os
import re
import struct
from hashlib import blake2b
from pathlib import Path

from showcaller.outside.files import look_at_file
from showcaller.outside.limits import MB, Refused

FORMATS = (
    "mov", "mp4", "m4a", "3gp", "3g2", "mj2", "matroska", "webm", "avi", "mxf", "mpegts", "mpeg", "wav",
    "w64", "aiff", "flac", "mp3", "ogg", "aac", "caf",
)  # fmt: skip
"""What clips and sound may be. Playlists (HLS, DASH, concatenations) and lists of pictures are not here."""

OPEN_AS = {"protocol_whitelist": "file", "format_whitelist": ",".join(FORMATS)}
"""Options for FFmpeg's own lists: what the file says it is cannot go around them."""

MARKED_BYTES = 65_536
MOST_STILL_PIXELS = 100_000_000
MOST_STILL_BYTES = 256 * MB
FOLDERS_FILE = "media-folders.txt"
_DEVICE = re.compile(r"/dev/(video\d{1,3}|v4l/by-(id|path)/[^/]+)")


def allowed_file(name: str, folder: Path | None, allowed: tuple[Path, ...] = ()) -> Path:
    """The file that a show in ``folder`` means by ``name``, links followed.

    Raises:
        Refused: it is no ordinary file with something in it, or lies elsewhere.
    """
    if "\x00" in name:
        raise Refused(f"{name!r} is not a file's name; check it")
    path = Path(name) if folder is None else folder / name
    where = Path(os.path.realpath(path))
    inside = [Path(os.path.realpath(f)) for f in ((folder or Path.cwd()), *allowed)]
    if not any(where.is_relative_to(f) for f in inside):
        raise Refused(
            f"{name} lies outside the show's folder; copy it there, "
            "or allow its folder with: showcaller media --allow FOLDER"
        )
    if not where.exists():
        raise Refused(f"no file {name}")
    look_at_file(where, name=name)
    return where


def is_camera(name: str) -> bool:
    """Whether a name is a video device of this machine."""
    return _DEVICE.fullmatch(name) is not None


def allowed_folders(settings: Path) -> tuple[Path, ...]:
    """The folders that the user has allowed, one a line; none where there is no such file."""
    try:
        lines = (settings / FOLDERS_FILE).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return ()
    return tuple(Path(line) for line in (line.strip() for line in lines) if Path(line).is_absolute())


def allow(settings: Path, folder: Path) -> None:
    """Let media lie in this folder, and in those in it.

    Raises:
        Refused: it is no folder, or so far up that everything would be allowed.
    """
    where = folder.resolve()
    if not where.is_dir():
        raise Refused(f"{folder} is not a folder; make it first, or check its name")
    if where == where.parent:
        raise Refused(f"{folder} is the whole disk; allow the folder that the media lie in")
    _write(settings, (*(f for f in allowed_folders(settings) if f != where), where))


def forget(settings: Path, folder: Path) -> None:
    """Let media lie in this folder no longer.

    Raises:
        Refused: it was not allowed.
    """
    known, where = allowed_folders(settings), folder.resolve()
    if where not in known:
        have = ", ".join(str(f) for f in known) or "none"
        raise Refused(f"{folder} was not allowed; allowed are: {have}")
    _write(settings, tuple(f for f in known if f != where))


def _write(settings: Path, folders: tuple[Path, ...]) -> None:
    settings.mkdir(parents=True, exist_ok=True)
    (settings / FOLDERS_FILE).write_text("".join(f"{f}\n" for f in folders), encoding="utf-8")


def read_still(path: Path, name: str) -> bytes:
    """A picture's bytes, once its own header says that it is small enough to be decoded.

    Raises:
        Refused: no PNG or JPEG, or with too many pixels.
    """
    look_at_file(path, MOST_STILL_BYTES, name)
    data = path.read_bytes()
    size = _png_size(data) or _jpeg_size(data)
    if size is None:
        raise Refused(f"{name} cannot be read as a picture; give a PNG or JPEG")
    width, height = size
    if not 0 < width * height <= MOST_STILL_PIXELS:
        most = MOST_STILL_PIXELS // 10**6
        raise Refused(f"{name} is {width} × {height} pixels; {most} million are the limit: scale it down")
    return data


def still_facts(data: bytes) -> tuple[int, int, str, bool]:
    """Width and height in px, codec, and whether it has opacity, of a PNG or JPEG that may be read.

    Opacity: colour types 4 and 6, or a palette's transparency (PNG, sections 11.2.2 and 11.3.2).
    """
    if data[:4] == b"\x89PNG":
        return *(_png_size(data) or (0, 0)), "png", data[25] in (4, 6) or b"tRNS" in data[33:2000]
    return *(_jpeg_size(data) or (0, 0)), "mjpeg", False


def mark_of(path: Path) -> str:
    """What tells whether a file is still the same: its size, and a digest of its beginning and end."""
    size = path.stat().st_size
    with path.open("rb") as file:
        ends = file.read(MARKED_BYTES)
        file.seek(max(0, size - MARKED_BYTES))
        ends += file.read(MARKED_BYTES)
    return f"{size}-{blake2b(ends, digest_size=8).hexdigest()}"


def _png_size(data: bytes) -> tuple[int, int] | None:
    """Width and height in px, from the header chunk that must come first (PNG, section 11.2.2)."""
    if data[:8] != b"\x89PNG\r\n\x1a\n" or data[12:16] != b"IHDR" or len(data) < 24:
        return None
    width, height = struct.unpack(">II", data[16:24])
    return width, height


def _jpeg_size(data: bytes) -> tuple[int, int] | None:
    """Width and height in px, from the start-of-frame segment (ITU-T T.81, B.2.2)."""
    if data[:2] != b"\xff\xd8":
        return None
    at = 2
    while at + 9 <= len(data) and data[at] == 0xFF:
        kind = data[at + 1]
        if kind == 0xFF:  # filling
            at += 1
            continue
        if 0xC0 <= kind <= 0xCF and kind not in (0xC4, 0xC8, 0xCC):
            height, width = struct.unpack(">HH", data[at + 5 : at + 9])
            return width, height
        at += 2 + max(2, int.from_bytes(data[at + 2 : at + 4], "big"))
    return None
