"""The tour: every edition of a show and every run of it, in one file or one PostgreSQL database."""

from showcaller.archive.errors import TourAway, TourError
from showcaller.archive.tour import Tour
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
    "Tour",
    "TourAway",
    "TourError",
]  # fmt: skip
