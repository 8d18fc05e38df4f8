"""What the areas know of the desk around them."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.desk.ask import Ask
from showcaller.desk.keys import Keys
from showcaller.run.last_edition import TonightChange
from showcaller.values import Struct, field

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour


class DeskContext(Struct, frozen=True):
    """The same for every area; an area asks it and never reaches for the window."""

    keys: Keys
    ask: Ask
    tour: Callable[[], "Tour"]
    edition: Callable[[], str]
    runs: Path
    running: Callable[[], bool]
    live: Callable[[], bool]
    """Whether a run is on whose messages leave."""
    who: Callable[[], str]
    kept: Callable[[int, str], None]
    """Told when the book was frozen: the edition's number and digest."""
    away: Callable[[], str]
    """Why the tour cannot be reached, empty if it can: then nothing may ask it and hold up the window."""
    seat: Callable[[], str] = field(default=lambda: "caller")
    """Which of ``SEATS`` is taken, by its id; empty while the desk is locked."""
    settings: Path | None = None
    """The folder where choices are remembered; None: nowhere."""
    tonight: Callable[[], object] = field(default=lambda: None)
    """Lets changes go to the show that is on, or to the book again."""
    changes: Callable[[], tuple[TonightChange, ...]] = field(default=tuple)
    """What was changed in the show that is on, or was on last at this desk."""
    menu: Callable[[str], object] = field(default=lambda _: None)
    """Opens the menu of a thing that was clicked (``CONTEXT`` of the table) where the mouse is."""
