"""The book's own keys. None is a plain letter: those belong to a run, which may be on meanwhile."""

from collections.abc import Mapping

BOOK_KEYS: Mapping[str, tuple[str, str, str]] = {
    "edit": ("Return", "type", "type into the first field of what is chosen; Tab goes on"),
    "new_cue": ("Ctrl+N", "new cue", "a new cue: who, when, what (or double-click a lane)"),
    "new_item": ("Ctrl+Shift+N", "new item", "a new song, talk, walk-on, changeover or interval"),
    "find": ("Ctrl+F", "find", "find an item or a cue by number or word"),
    "undo": ("Ctrl+Z", "undo", "take back the last change"),
    "redo": ("Ctrl+Shift+Z", "redo", "make it again"),
    "copy": ("Ctrl+C", "copy", "copy the cue"),
    "cut": ("Ctrl+X", "cut", "take the cue out, to put it in elsewhere"),
    "paste": ("Ctrl+V", "paste", "put it into this item at the same place"),
    "remove": ("Del", "remove", "take out the cue; with no cue chosen, the item"),
    "earlier": ("Alt+Left", "earlier", "the cue a beat earlier (with Shift a bar); dragging does it too"),
    "later": ("Alt+Right", "later", "the cue a beat later (with Shift a bar)"),
    "up": ("Alt+Up", "up", "the item up the running order; dragging does it too"),
    "down": ("Alt+Down", "down", "the item down the running order"),
    "out": ("Ctrl+T", "out tonight", "leave the item out tonight, or put it back in"),
    "split": ("Ctrl+J", "split", "split the item at the chosen cue"),
    "renumber": ("Ctrl+R", "renumber", "number a range of cues anew"),
    "tap": ("Ctrl+B", "tap tempo", "tap the song's tempo"),
    "length": ("Ctrl+Shift+B", "tap length", "tap the item's length: once at its start, once at its end"),
    "send": ("Ctrl+Return", "send once", "send what the cue sends, once, while no run is live"),
    "closer": ("Ctrl+=", "closer", "zoom in; Ctrl and the wheel do it too"),
    "further": ("Ctrl+-", "further", "zoom out"),
    "whole": ("Ctrl+0", "whole", "the whole item in view"),
    "show": ("Ctrl+Home", "show", "the show's own name, place and times"),
    "import": ("Ctrl+I", "import", "take in a spreadsheet, a MIDI file or a timeline"),
    "export": ("Ctrl+P", "export", "write the call script, cue sheets, spreadsheets, the day"),
    "editions": ("Ctrl+D", "editions", "freeze an edition, compare two, bring something back"),
    "day": ("Ctrl+Y", "the day", "doors, support, curfew, get-out: what is planned when"),
    "setup": ("Ctrl+U", "set-up", "departments, outlets, clearances"),
    "check": ("Ctrl+G", "check", "can tonight's show run?"),
}
"""Name → key, its short word, what it does."""

BUTTONS = ("new_cue", "new_item", "find", "import", "export", "editions", "day", "setup", "check")
"""Those that also stand as buttons over the strip."""
