"""Reading what came from outside: in a process of its own that may die, within limits that are said.

A spreadsheet, a timeline, a MIDI file, a clip or a tour that somebody sent is read by ``outside.asking.ask``
in a child process; what comes back is plain JSON. A child that breaks, hangs or grows is one sentence, and
the desk goes on.
This room knows nothing of shows, so that the child starts as fast as the interpreter does.
"""

from showcaller.outside.files import look_at_file
from showcaller.outside.limits import Limits, Refused, Stopped, Within

__all__ = ["Limits", "Refused", "Stopped", "Within", "look_at_file"]
