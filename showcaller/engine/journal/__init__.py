"""The journal of a run, kept so that nothing is lost without a word."""

from showcaller.engine.journal.journal import Journal
from showcaller.engine.journal.lines import JournalError
from showcaller.engine.journal.reading import Plain, Reading, look, read, read_journal, together

__all__ = ["Journal", "JournalError", "Plain", "Reading", "look", "read", "read_journal", "together"]
