"""Taking in what others wrote: spreadsheets, MIDI files, timelines. Nothing changes by looking."""

from showcaller.editing.importing.cells import Table, TableError, read_tables
from showcaller.editing.importing.understood import Remark, Understood

__all__ = ["Remark", "Table", "TableError", "Understood", "read_tables"]
