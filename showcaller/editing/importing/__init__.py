"""Taking in what others wrote: spreadsheets, MIDI files, timelines. Nothing changes by looking.

Only the values are imported here: the libraries that read files take a third of a second to load.
"""

from showcaller.editing.importing.understood import KINDS, UNTOUCHED, FileError, Remark, Understood

__all__ = ["KINDS", "UNTOUCHED", "FileError", "Remark", "Understood"]
