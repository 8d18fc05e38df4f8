"""A paper for each camera's operator: song by song its shots, and when it is on the wall."""

from functools import partial
from pathlib import Path

from showcaller.editing.exporting.camera_paper import OperatorSong, operator_pdf
from showcaller.editing.naming import slug
from showcaller.model import Show, Source
from showcaller.model.whole import whole
from showcaller.screen.cameras import cameras_of, shots_of, span_s
from showcaller.screen.errors import ClipError
from showcaller.screen.looks import looks_of
from showcaller.timing.plan import Plan, compile_plan
from showcaller.values import Struct


class Sheet(Struct, frozen=True):
    """A camera's paper: its number, its source, its songs."""

    number: int
    source: Source
    songs: tuple[OperatorSong, ...]


def camera_sheets(show: Show) -> tuple[Sheet, ...]:
    """One for each camera that has a shot, or is on the wall at all."""
    plan = compile_plan(show)
    found = (Sheet(n, c, _songs(plan, c)) for n, c in enumerate(cameras_of(show), 1))
    return tuple(sheet for sheet in found if sheet.songs)


def _songs(plan: Plan, camera: Source) -> tuple[OperatorSong, ...]:
    found = []
    for n, planned in enumerate(plan.items):
        rows: list[tuple[float, str, str, str, str]] = []
        for shot in shots_of(planned):
            if shot.camera == camera.id:
                start, _ = span_s(planned, shot)
                rows.append(
                    (start, f"{shot.bar}–{shot.until_bar}", shot.what, shot.lens or "", shot.move or "")
                )
        for standing in looks_of(plan, n).standing:
            if standing.cue and any(x.source == camera.id for x in standing.look.layers):
                bar = "" if standing.bar is None else f"{max(1, standing.bar)}"
                words = f"ON THE WALL, “{standing.look.name}” by {standing.change.by}"
                rows.append((standing.at_s, bar, words, "", ""))
        if rows:
            lines = tuple(row[1:] for row in sorted(rows, key=lambda row: row[0]))
            found.append(OperatorSong(planned.item.name, lines))
    return tuple(found)


def write_camera_sheets(show: Show, folder: Path, edition: str) -> list[Path]:
    """A PDF for each camera in ``folder``; the files.

    Raises:
        ClipError: the show has no camera that has anything to do.
        OSError: it cannot be written.
    """
    sheets = camera_sheets(show)
    if not sheets:
        raise ClipError(f"no camera of {show.name} has a shot or is on the wall; type shots in Wall first")
    folder.mkdir(parents=True, exist_ok=True)
    made = []
    for sheet in sheets:
        path = folder / f"{slug(show.name)}-camera-{sheet.number}-{slug(sheet.source.name)}.pdf"
        data = operator_pdf(f"{show.name}: camera {sheet.number}, {sheet.source.name}", edition, sheet.songs)
        whole(path, partial(_put, data))
        made.append(path)
    return made


def _put(data: bytes, path: Path) -> None:
    path.write_bytes(data)
