"""The desk's own clerk for the tour: takes journals in, hears what others add, and says when it is away.

All of it happens on threads of its own, with connections of their own: whatever the tour's server does, no
frame and no go ever waits for it. A run is a journal on disk first, so nothing is lost while it is away.
No Qt.
"""

import threading
import time
from collections.abc import Callable
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING

from showcaller.archive import TourAway, TourError
from showcaller.archive.later import AnyTour
from showcaller.archive.values import Heard
from showcaller.desk.journals import take_in_journals, waiting_journals

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour

RETRY_S = 1.0
BACK_FOR_S = 12.0
"""That the tour is back is shown this long."""


class TourSync:
    """Looks after one desk's tour. ``read`` is called on the keeper's thread whenever something has changed.

    ``taken`` counts the journals taken in so far, ``wrong`` is a sentence about one that could not be.
    """

    def __init__(self, tour: AnyTour, runs: Path, read: Callable[["Tour"], None]) -> None:
        self._where = tour.reached_by
        self._desk = tour.desk
        self._runs = runs
        self._read = read
        self._news: SimpleQueue[Heard] = SimpleQueue()
        self._wake = threading.Event()
        self._stopping = False
        self._due = True
        self._away: str | None = None
        self._back_s = -1e9
        self._asked = 0
        self._waiting = 0
        self.answered = 0
        self.taken = 0
        self.wrong: str | None = None
        self._thread = threading.Thread(target=self._run, name="tour keeper", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """Let go of the tour; what has not gone in stays in its journal."""
        self._stopping = True
        self._wake.set()
        self._thread.join(timeout=6.0)

    def ask(self) -> int:
        """Ask for the journals to be taken in; done, or tried in vain, once ``answered`` is this number."""
        self._asked += 1
        self._due = True
        self._wake.set()
        return self._asked

    def news(self) -> list[Heard]:
        """What was heard since this was asked last."""
        found: list[Heard] = []
        try:
            while True:
                found.append(self._news.get_nowait())
        except Empty:
            return found

    @property
    def away(self) -> bool:
        """Whether the tour cannot be reached."""
        return self._away is not None

    def why(self) -> str:
        """The whole sentence on why it cannot be reached; empty while it can."""
        return self._away or ""

    @property
    def is_back(self) -> bool:
        """Whether what is said of it is that it is there again."""
        return not self.away and self.wrong is None and time.monotonic() - self._back_s < BACK_FOR_S

    def words(self, running: bool) -> str:
        """What the head of the window says of the tour; empty while all is well."""
        if self._away is not None:
            if running:
                return "Tour database unreachable. The show goes on; this machine keeps it"
            n = self._waiting
            kept = f"; {n} {'shows wait' if n > 1 else 'show waits'} on this machine" if n else ""
            return f"Tour database unreachable, still trying{kept}"
        if self.wrong is not None:
            return f"not saved to the tour: {self.wrong}"
        if self.is_back:
            return "The tour database is back; nothing is missing"
        return ""

    def _heard(self, heard: Heard) -> None:
        if heard.what == "away":
            self._away = heard.words
        else:
            self._due = True
            self._wake.set()
        self._news.put(heard)

    def _run(self) -> None:
        # Both load the database library: on this thread, so that the window need not wait for it.
        from showcaller.archive.tour import Tour  # noqa: PLC0415
        from showcaller.archive.watch import TourWatch  # noqa: PLC0415

        tour: Tour | None = None
        watch = TourWatch(self._where, self._heard, self._desk)
        watch.start()
        try:
            while not self._stopping:
                if self._due:
                    self._due = False
                    asked = self._asked
                    try:
                        tour = tour or Tour.open(self._where)
                        self._take_in(tour)
                        self._read(tour)
                        if self._away is not None:
                            self._away, self._back_s = None, time.monotonic()
                    except TourAway as error:
                        self._away, self._due = str(error), True
                        self._waiting = len(waiting_journals(self._runs, watch.name))
                    except (TourError, OSError) as error:
                        self.wrong = str(error)
                    self.answered = asked
                self._wake.wait(RETRY_S if self._due else None)
                self._wake.clear()
        finally:
            watch.stop()
            if tour is not None:
                tour.close()

    def _take_in(self, tour: "Tour") -> None:
        added, wrong = take_in_journals(tour, self._runs)
        self.wrong = wrong[0] if wrong else None
        if added:
            self.taken += len(added)
            self._news.put(Heard("run", str(added[-1].number), mine=True))
