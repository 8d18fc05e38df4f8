"""Pictures of a run's wall: composed as the desk has them, and from its log afterwards."""

from collections.abc import Iterable
from hashlib import blake2b
from pathlib import Path

from showcaller.desk.areas.wall.scene import Scenes
from showcaller.model import Show
from showcaller.run.compiled import compile_show
from showcaller.run.runbook import RunBook
from showcaller.run.runlog import Record
from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.footage import Footage
from showcaller.screen.picture import Picture
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan


class Composer:
    """Composes a show's wall at ``width`` × ``height`` px, every time from nothing but the picture."""

    def __init__(self, show: Show, width: int = 800, height: int = 200, folder: Path | None = None) -> None:
        assert show.wall is not None
        self._canvas = Canvas(show.wall, width, height)
        # What stands for a camera stands still: two who compose one moment do so at two times.
        self._footage = Footage(show.sources, folder, clock=lambda: 0.0)

    def pixels(self, picture: Picture) -> bytes:
        return bytes(self._canvas.compose(picture, self._footage.at).tobytes())

    def digest(self, picture: Picture) -> str:
        """Of every pixel; two pictures are kept as 32 letters and not as half a megabyte."""
        return blake2b(self.pixels(picture), digest_size=16).hexdigest()


class Afterwards:
    """A run book filled from a log, record by record, by somebody who was not there."""

    def __init__(self, show: Show, records: Iterable[Record]) -> None:
        plan = compile_plan(show)
        self.book = RunBook(compile_show(plan), compile_show_calls(plan))
        self._records = list(records)
        self._scenes = Scenes()

    def picture(self, seq: int, now_ns: int) -> Picture:
        """What was on the wall at an instant, once the log had ``seq`` records; instants only go on."""
        self.book.take(self._records[len(self.book.records) : seq])
        scene = self._scenes.live(self.book, now_ns)
        assert scene is not None
        return scene.picture
