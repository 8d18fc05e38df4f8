"""The tape's pictures: the wall as planned and as it was, and every look of the strip, small; each a copy."""

from showcaller.desk.document_store import DocumentStore
from showcaller.desk.projector import Projector, Shot
from showcaller.desk.qt import QImage, QObject, Signal
from showcaller.model import Look, Show
from showcaller.review.strip import TapeStrip
from showcaller.review.wall_at import WallThen
from showcaller.screen.spread import spread_of
from showcaller.screen.tiles import TileSheet, look_picture

SMALL_PX = 168
"""How wide the picture of a look in the strip is made, px."""
_COLUMNS = 6
_SINCE_S = 2.0
"""A look at rest is shown with its sources so far in."""
MOST_SMALL = 60


class TapePictures(QObject):
    """``made`` is told after every sheet. The process that composes is started when one is wanted first."""

    made = Signal()

    def __init__(self, store: DocumentStore, parent: QObject) -> None:
        super().__init__(parent)
        self._store = store
        self._projector: Projector | None = None
        self._size = (600, 150)
        self._waiting: dict[str, tuple[Shot, object]] = {}
        self._asked: tuple[str, Shot, object] | None = None
        self._looks: tuple[Look, ...] = ()
        self._then: tuple[Show, WallThen] | None = None
        self.planned: QImage | None = None
        self.tonight: QImage | None = None
        self._small: dict[Look, QImage] = {}

    def fit(self, width: int, height: int) -> None:
        """How large the two pictures are shown, px of the screen."""
        if (width, height) != self._size and min(width, height) >= 8:
            self._size = (width, height)
            if self._then is not None:
                self.want_then(*self._then)

    def small(self, look: Look) -> QImage | None:
        """A look's small picture."""
        return self._small.get(look)

    def want_then(self, show: Show, then: WallThen) -> None:
        """The wall at a moment: as planned above, as it was below."""
        self._then = (show, then)
        if show.wall is not None:
            width, height = self._size
            sheet = TileSheet((then.planned, then.tonight), 1)
            shot = Shot(spread_of(show).wall, sheet, width, 2 * height, live=False, surfaces=show.surfaces)
            self._want("then", show, shot, None)

    def want_bands(self, show: Show, strip: TapeStrip) -> None:
        """The looks of a strip."""
        if show.wall is None:
            return
        looks = tuple(dict.fromkeys(b.look for b in (*strip.plan, *strip.tonight)))[:MOST_SMALL]
        if all(look in self._small for look in looks):
            return
        spread = spread_of(show)
        wall = spread.wall
        high = max(8, round(SMALL_PX * wall.height_m / wall.width_m))
        sheet = TileSheet(tuple(look_picture(spread, look, _SINCE_S) for look in looks), _COLUMNS)
        size = (SMALL_PX * _COLUMNS, high * sheet.rows)
        self._want("small", show, Shot(wall, sheet, *size, live=False, surfaces=show.surfaces), looks)

    def settle(self, timeout_s: float = 20.0) -> None:
        """Wait until all is made; for pictures and tests."""
        while self._asked is not None and self._projector is not None:
            self._projector.settle(timeout_s)
            self._take()

    def close(self) -> None:
        """Stop the process."""
        if self._projector is not None:
            self._projector.close()

    def _want(self, what: str, show: Show, shot: Shot, about: object) -> None:
        if self._projector is None:
            self._projector = Projector()
            self._projector.made.connect(self._take)
        self._projector.take_sources(show.sources, self._store.folder)
        self._waiting[what] = (shot, about)
        if self._asked is None or self._projector.lost:
            self._next()

    def _next(self) -> None:
        self._asked = None
        if self._waiting and self._projector is not None:
            what = next(iter(self._waiting))
            shot, about = self._waiting.pop(what)
            self._asked = (what, shot, about)
            self._projector.ask(shot)

    def _take(self) -> None:
        image = self._projector.newest() if self._projector is not None else None
        if self._asked is None or image is None:
            return
        what, shot, about = self._asked
        if (image.width(), image.height()) != (shot.width, shot.height):
            return  # of the size before
        if what == "then":
            half = shot.height // 2
            self.planned = image.copy(0, 0, shot.width, half)
            self.tonight = image.copy(0, half, shot.width, half)
        elif isinstance(about, tuple):
            wide = shot.width // _COLUMNS
            high = shot.height // -(-len(about) // _COLUMNS)
            for n, look in enumerate(about):
                self._small[look] = image.copy(n % _COLUMNS * wide, n // _COLUMNS * high, wide, high)
        self._next()
        self.made.emit()
