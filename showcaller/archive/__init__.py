"""The tour: every edition of a show and every run of it, in one file or one PostgreSQL database."""

from showcaller.archive.errors import TourError
from showcaller.archive.tour import Tour
from showcaller.archive.values import Edition, Event, Run

__all__ = ["Edition", "Event", "Run", "Tour", "TourError"]
