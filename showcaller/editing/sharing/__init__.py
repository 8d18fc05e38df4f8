"""One book on several machines: changes are sent as values, one machine has the order. Pure."""

from showcaller.editing.sharing.away import AwayBook, Conflict
from showcaller.editing.sharing.home import HomeBook
from showcaller.editing.sharing.values import Answer, BookEntry, BookOffer

__all__ = ["Answer", "AwayBook", "BookEntry", "BookOffer", "Conflict", "HomeBook"]
