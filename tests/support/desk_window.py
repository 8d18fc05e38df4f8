"""A desk's window on a document that is kept on disk, closed with the block."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from devices import end_engines

from showcaller.archive.tour import Tour
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.editing.keeping import Keeper
from showcaller.model import parse_show, write_show


@contextmanager
def desk_on(qtbot: Any, folder: Path, document: dict[str, Any]) -> Iterator[DeskWindow]:
    """The window at 1280×720 with the Book in front; the document is ``show.json`` in ``folder``."""
    path = folder / "show.json"
    write_show(parse_show(json.dumps(document)), path)
    keeper = Keeper(path)
    keys = Keys()
    tour = Tour.create(folder / "t.tour", "Small")
    window = DeskWindow(keeper.show, tour, folder / "runs", keys, keeper=keeper)
    window.resize(1280, 720)
    window.show()
    window.show_area("Book")
    qtbot.waitExposed(window)
    window.grab()
    yield window
    window.stop()
    window.host.close()
    keeper.close()
    end_engines(folder / "runs")
