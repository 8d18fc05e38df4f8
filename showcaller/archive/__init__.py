"""The tour: every edition of a show and every run of it, in one file or one PostgreSQL database.

What is handed out, and what can go wrong, is here; the tour itself is in ``archive.tour``, which loads the
database library and so is imported only where one is opened.
"""

from showcaller.archive.errors import TourAway, TourError
from showcaller.archive.values import DayMark, Edition, Frozen, Marked, Recording, Remark, Run, StoredEvent

__all__ = [
    "DayMark",
    "Edition",
    "Frozen",
    "Marked",
    "Recording",
    "Remark",
    "Run",
    "StoredEvent",
    "TourAway",
    "TourError",
]  # fmt: skip
