"""Every source's picture at an instant: clips to the frame, stills, cameras, and cards for what is not there.

Belongs to one thread, the one that composes.
"""

import time
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np

from showcaller.model import Source, Wall
from showcaller.outside import Refused
from showcaller.outside.media import allowed_file, is_camera, read_still
from showcaller.screen.camera import Camera
from showcaller.screen.cards import Card
from showcaller.screen.clips import Clip
from showcaller.screen.compose.grade import graded
from showcaller.screen.compose.pool import Pixels, Weights
from showcaller.screen.errors import ClipError
from showcaller.screen.media_check import TEST, file_trouble, split_test
from showcaller.screen.playback import Playing, file_s
from showcaller.screen.testcards import card_named, drawn

Shown = tuple[Pixels, Weights | None]


class Footage:
    """The sources of a show; ``folder`` is where its document lies. Files are opened when first seen.

    ``allowed`` are the other folders that its files may lie in. ``clock`` is what files that stand for
    something live go by, in s: one for all processes, so that a camera is the same in every picture.
    ``walls`` are the surfaces that test pictures are of, the first one where none is named.
    """

    def __init__(
        self,
        sources: tuple[Source, ...],
        folder: Path | None = None,
        allowed: tuple[Path, ...] = (),
        clock: Callable[[], float] = time.time,
        walls: tuple[Wall, ...] = (),
    ) -> None:
        self._walls = walls
        self._clock = clock
        self._sources = {s.id: s for s in sources}
        self._folder = folder
        self._allowed = allowed
        self._open: dict[str, _Picture] = {}

    def at(self, source_id: str, since_s: float, plays: Playing | None = None) -> Shown | None:
        """A source's picture when it has been on the wall so long, graded; None for an unknown source."""
        source = self._sources.get(source_id)
        if source is None:
            return None
        picture = self._open.get(source_id)
        if picture is None:
            picture = self._open[source_id] = self._opened(source)
        found = picture.at(max(0.0, since_s), plays)
        if source.grade is None or picture.why:
            return found
        picture.graded = graded(found[0], source.grade, picture.graded)
        return picture.graded, found[1]

    def _opened(self, source: Source) -> "_Picture":
        """What shows a source. What cannot be opened is a card that says why."""
        if source.media is None:
            return _Picture(source)
        try:
            if source.media.startswith(TEST) and self._walls:
                return _Test(source, self._walls)
            if source.kind in ("camera", "live") and is_camera(source.media):
                return _Live(source, source.media)
            path = allowed_file(source.media, self._folder, self._allowed)
            if source.kind == "still":
                return _Still(source, path)
            return _Clip(source, path) if source.kind == "clip" else _StandIn(source, path, self._clock)
        except (ClipError, Refused, OSError, MemoryError) as error:
            return _Picture(source, str(error) or f"there is no memory for {source.media}")

    def why(self, source_id: str) -> str:
        """Why a source shows its card and not its picture; empty if it shows its picture or was not asked."""
        picture = self._open.get(source_id)
        return picture.why if picture is not None else ""

    def troubles(self) -> dict[str, str]:
        """What is wrong with the sources' files, seen or not: missing, elsewhere, or not what was read.

        A look at each of them; asked for now and then.
        """
        found = {}
        for source in self._sources.values():
            why = file_trouble(source, self._folder, self._allowed)
            if why := why or self.why(source.id):
                found[source.id] = why
        return found

    def take(self, sources: tuple[Source, ...], folder: Path | None) -> None:
        """The show has changed: what changed is opened again, the rest goes on."""
        changed = {s.id: s for s in sources}
        for source_id in list(self._open):
            if folder != self._folder or changed.get(source_id) != self._sources.get(source_id):
                self._open.pop(source_id).close()
        self._sources, self._folder = changed, folder

    def take_walls(self, walls: tuple[Wall, ...]) -> None:
        """From now on test pictures are of these surfaces."""
        self._walls = walls
        for source_id in [i for i, p in self._open.items() if isinstance(p, _Test)]:
            self._open.pop(source_id).close()

    def close(self) -> None:
        """Let go of every file and device."""
        for picture in self._open.values():
            picture.close()
        self._open.clear()


class _Picture:
    """A card; the others begin with one and show it while they have nothing better."""

    def __init__(self, source: Source, why: str = "") -> None:
        self.source = source
        self.why = why
        self.graded: Pixels | None = None
        self._card = Card(source, why)

    def at(self, since_s: float, _plays: Playing | None = None) -> Shown:
        return self._card.at(since_s), None

    def close(self) -> None:
        """Let go."""


class _Still(_Picture):
    def __init__(self, source: Source, path: Path) -> None:
        super().__init__(source)
        data = np.frombuffer(read_still(path, path.name), np.uint8)
        try:
            found = cv2.imdecode(data, cv2.IMREAD_UNCHANGED)
        except cv2.error:
            found = None
        if found is None:
            raise ClipError(f"{path.name} cannot be read as a picture; give a PNG or JPEG")
        if found.dtype != np.uint8:
            found = (found / 257).astype(np.uint8)
        if found.ndim == 2:
            found = cv2.cvtColor(found, cv2.COLOR_GRAY2BGR)
        self._alpha = (found[..., 3] / 255).astype(np.float32) if found.shape[2] == 4 else None
        self._pixels: Pixels = np.ascontiguousarray(found[..., :3])

    def at(self, _since_s: float, _plays: Playing | None = None) -> Shown:
        return self._pixels, self._alpha


class _Test(_Picture):
    def __init__(self, source: Source, walls: tuple[Wall, ...]) -> None:
        super().__init__(source)
        words, surface = split_test(source.media or "")
        wall = next((w for w in walls if w.id == surface), None)
        if surface and wall is None:
            raise ClipError(f"a test picture of a surface that is no more: {surface}")
        self._card_meant, self._wall = card_named(words), wall or walls[0]

    def at(self, since_s: float, _plays: Playing | None = None) -> Shown:
        return drawn(self._card_meant, self._wall, since_s), None


class _Clip(_Picture):
    def __init__(self, source: Source, path: Path) -> None:
        super().__init__(source)
        self._clip = Clip(path)
        facts = self._clip.facts
        self._length_s = float(facts.length_s) or 1.0
        self._index = -1
        self._pixels = np.empty((facts.height, facts.width, 3), np.uint8)
        self._alpha: Weights | None = None

    def at(self, since_s: float, plays: Playing | None = None) -> Shown:
        return self._shown(file_s(plays, since_s, self._length_s, self.source.loops))

    def _shown(self, at_s: float) -> Shown:
        try:
            shown = self._clip.frame_at(at_s)
        except ClipError as error:
            self.why = str(error)
            return self._card.at(at_s), None
        if shown.index != self._index:
            self._index = shown.index
            cv2.cvtColor(shown.pixels, cv2.COLOR_RGB2BGR, self._pixels)
            self._alpha = None if shown.alpha is None else (shown.alpha / 255).astype(np.float32)
        return self._pixels, self._alpha

    def close(self) -> None:
        self._clip.close()


class _StandIn(_Clip):
    """A file in the place of a camera, or of what is drawn live: it runs on and on, seen or not."""

    def __init__(self, source: Source, path: Path, clock: Callable[[], float]) -> None:
        super().__init__(source, path)
        self._clock = clock

    def at(self, _since_s: float, _plays: Playing | None = None) -> Shown:
        return self._shown(self._clock() % self._length_s)


class _Live(_Picture):
    def __init__(self, source: Source, device: str) -> None:
        super().__init__(source)
        self._camera = Camera(device)

    def at(self, since_s: float, _plays: Playing | None = None) -> Shown:
        newest = self._camera.newest()
        self.why = "" if newest is not None else self._camera.why
        return (newest, None) if newest is not None else super().at(since_s)

    def close(self) -> None:
        self._camera.close()
