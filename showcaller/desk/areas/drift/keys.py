"""The drift area's own keys. None is a plain letter: those belong to a run, which may be on meanwhile."""

from collections.abc import Mapping

DRIFT_KEYS: Mapping[str, tuple[str, str, str]] = {
    "later_run": ("Right", "→", "the next run; ← the one before"),
    "row": ("Down", "↓", "the next line of the list; the recording goes there; ↑ the one before"),
    "list": ("Tab", "list", "the next list: cues, items, notes, people, messages, the day, the tour"),
    "back_list": ("Shift+Tab", "", "the list before"),
    "play": ("Ctrl+Space", "play", "play the recording from here, or pause"),
    "frame_back": ("Alt+Left", "", "one frame back (with Shift a second)"),
    "frame_on": ("Alt+Right", "", "one frame on (with Shift a second)"),
    "recording": ("Ctrl+O", "recording", "point at the video of this run"),
    "tap": ("Ctrl+T", "tap", "the frame that is shown is the chosen line: align the recording by it"),
    "align": (
        "Ctrl+Shift+T",
        "align",
        "align by timecode (the file's, or on its sound), or by a song's sound",
    ),
    "note": ("Ctrl+N", "note", "write a note at this moment; 'near miss: …' makes it an incident"),
    "take": ("Alt+1", "take in", "take offer 1 into the book; Alt+2 to Alt+5 the others"),
    "mark": ("Ctrl+D", "the day", "put down that something of the day began or ended"),
    "export": ("Ctrl+P", "reports", "write the report: PDF, web page, spreadsheet, chapters, markers"),
}
"""Name → key, its short word, what it does."""

FOOT = ("list", "recording", "play", "note", "export", "mark")
"""Those named at the foot of the area."""
