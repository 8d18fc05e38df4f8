"""Everything a person can do at the desk: one table. Keys, menus, palette and pages of keys come from it.

Pure: no Qt. Nothing else in the program names a key; ``keys.json`` may give an action another (``desk/keys.py``).
"""

from collections.abc import Mapping

from showcaller.desk.action import Action
from showcaller.desk.action import an_action as _a
from showcaller.desk.action import of_a_run as _run

_RUN = (
    _run("go", "G", "go", "fire the next go, and only that"),
    _run("standby", "S", "standby", "the standby or warning in the box has been called"),
    _run("answer", "A", "standing by", "everybody asked is standing by"),
    _run("answers", "Shift+A", "who stands by", "say which departments are standing by"),
    _run("hold", "P", "hold", "put the show on hold; again to resume"),
    _run("unheld", "Q", "never held", "after a hold by mistake: resume as if the show had not been on hold"),
    _run("why", "Shift+P", "reason", "give the reason for the hold"),
    _run("note", "N F8", "note", "write a note at this moment"),
    _run("incident", "Shift+N Shift+F8", "incident", "somebody hurt, nearly hurt, or something damaged: logged at the press", "Night"),
    _run("incident_form", "Shift+M Shift+F7", "incident form", "what is still to be said of an incident: what, who, where, witness, first aid", "Night"),
    _run("fault", "K F7", "wall fault", "mark a panel of the wall: the one under the mouse, or by name", "Night"),
    _run("back", "B", "back", "take back the last go", twice=True),
    _run("skip", "X", "skip", "skip the next go", twice=True),
    _run("jump", "J", "jump", "go to an item or cue"),
    _run("confirm", "U", "fire", "the second key of a hazardous go"),
    _run("tap", "D", "downbeat", "tap on the downbeat: the song's clock goes to the nearest one", "Clock"),
    _run("bar", "=", "this is bar", "say which bar this is: the song's clock goes there", "Clock"),
    _run("follow", "F", "follow", "let timecode lead; when it has jumped far, go there", "Clock", True),
    _run("hand", "H", "by hand", "take the clock over from timecode; or leave its jump", "Clock", True),
    _run("wrong", "W", "wrong", "the last go was a wrong one: mark it"),
    _run("take", "T", "fire by hand", "fire the next automatic cue by hand, now", twice=True),
    _run("walk", "L F6", "walk step", "the next step of the walk-on has happened", "Night"),
    _run("insert", "I", "insert", "an item that is not in the running order begins now", "Night"),
    _run("resend", "E", "resend", "resend the current state: what every device should be showing here", "Night"),
    _run("doubts", "Shift+Z", "in doubt", "what was fired and may not have been sent: send it now, or leave it", "Night"),
    _run("override", "Shift+V", "override", "let a go pass without a clearance, with a name and a reason", "Night"),
    _run("calls", "C", "the calls", "several desks: hand the calls to the one that asks, ask for them, or take them"),
    _run("handover", "O", "hand over", "what the next caller must know; take their name", "Night"),
    _run("loop", "Shift+Y", "loop", "in a rehearsal: play a section again and again; again stops it", "Clock"),
    _run("again", "Shift+R", "again", "the section that is on once more; again: as planned", "Clock"),
    _run("vamp", "Shift+O", "vamp", "repeat the section that is on until this key again: out at its end", "Clock"),
    _run("cut", "Shift+K", "cut a section", "without the next section, from its downbeat; again: as planned", "Clock"),
    _run("ahead", "Shift+X", "cue to cue", "in a rehearsal: to 15 s before the next go", "Clock"),
    _run("top", "Shift+J", "from the top", "in a rehearsal: back to the top of a section", "Clock"),
    _run("delay", "Shift+D Shift+F6", "delay", "a delay was announced: how long, or until when; it goes into the projected end", "Night"),
    _run("pages", "F11", "pages", "pages read aloud: preset, house open, show stop, weather, evacuation", "Night"),
    _run("mute", "M", "mute", "mute or unmute all outputs", "Night", True),
    _run("take_here", "Ctrl+Shift+M", "take over here", "two machines: take the show over from the other one, or back", "Night", True),
    _run("plug", "", "pull the plug", "in a rehearsal: this machine's engine is gone for a minute, to try the second one", "Night", True),
    *(_run(f"clear{n}", f"{n} Ctrl+Alt+{n}", f"clearance {n}", "withdraw this clearance at once; twice gives it", "Night") for n in range(1, 10)),
    _a("open", "R Ctrl+Alt+O", "open show", "open a show or rehearsal, or rejoin one in progress", "Show", "run", "no run"),
    _run("last_note", "Shift+L Shift+F9", "last note", "the last note has sounded: the end that the curfew counts; twice while items are to come", "Show"),
    _run("house_lights", "Shift+H Shift+F11", "house lights", "the house lights come up", "Show"),
    _a("end", "Ctrl+E", "end show", "end the show or rehearsal: asks you to type END", "Show", "run", "run"),
    _a("lock", "Ctrl+L", "lock", "lock the keys until the caller's name is typed", "Show", "desk", "run"),
)  # fmt: skip

_DESK = (
    _a("book", "Ctrl+1", "Book", "Book: the plan", "View", "desk"),
    _a("wall", "Ctrl+2", "Wall", "Wall: what the screen shows", "View", "desk"),
    _a("call", "Ctrl+3", "Call", "Call: live", "View", "desk"),
    _a("drift", "Ctrl+4", "Drift", "Drift: what happened", "View", "desk"),
    _a("night", "Ctrl+Shift+K", "night colours", "dim, red-tinged colours for a dark place; again: as usual", "View", "desk"),
    _a("crew", "Ctrl+Shift+G", "crew pages", "phones and tablets of the crew: code to scan, PIN, who is in", "Show", "desk"),
    _a("machines", "Ctrl+Shift+Y", "other machines", "let in a desk on another machine, or a second machine; put one out", "Show", "desk"),
    _a("conflicts", "Ctrl+Shift+O", "conflicts", "what was changed here and on another machine at once: keep theirs, or put mine", "Show", "desk"),
    _a("clock", "Ctrl+K", "clocks", "clocks for a second screen", "View", "desk"),
    _a("seat.caller", "", "caller's seat", "this desk calls the show: opens on Call, show keys act there", "Seat", "desk"),
    _a("seat.director", "", "director's seat", "opens on Wall; letters never act on the show", "Seat", "desk"),
    _a("name", "", "my name", "who is at this desk: the name beside marks, notes and verdicts", "Seat", "desk"),
    _a("seat.stage", "", "stage manager's seat", "opens on Book; letters never act on the show", "Seat", "desk"),
    *(_a(f"guide.{seat}", "", f"guide: {of}", f"five steps through {what}", "Help", "desk") for seat, of, what in (
        ("caller", "calling", "a first rehearsal"), ("director", "the wall", "the Wall"), ("stage", "the book", "the Book"))),
    _a("palette", "Ctrl+Shift+P", "find an action", "type what you want; each line shows its key", "Help", "desk"),
    _a("handbook", "F1", "handbook", "the handbook, at the page for what is on screen", "Help", "desk"),
    _a("help", "?", "keys", "show all keys", "Help", "desk"),
    _a("menu", "F10", "menu", "open the menu bar (also Alt by itself)", "Help", "desk"),
    _a("part", "Ctrl+Tab", "next part", "the keyboard to the next list, tab or button of what is shown", "View", "desk"),
    _a("part_before", "Ctrl+Shift+Tab", "part before", "the keyboard to the one before", "View", "desk"),
    _a("leave", "Esc", "leave", "leave what is open, stop what is being done", "", "desk"),
    _a("quit", "Ctrl+Q", "close the desk", "close the window; a show in progress goes on without it", "Show", "desk"),
    _a("undo", "Ctrl+Z", "undo", "take back the last change", "Edit", "Book Wall Drift"),
    _a("redo", "Ctrl+Y Ctrl+Shift+Z", "redo", "make it again", "Edit", "Book Wall Drift"),
)  # fmt: skip

_CALL = (
    _a("call.larger", "Ctrl+=", "larger", "the line to call a size larger", "View", "Call"),
    _a("call.smaller", "Ctrl+-", "smaller", "the line to call a size smaller", "View", "Call"),
    _a("call.page_tick", "Return Space", "tick", "on a page read aloud: the line is said; in the list: open", "", "Call"),
    _a("call.page_untick", "Backspace", "tick back", "on a page read aloud: take back a tick", "", "Call"),
    _a("call.page_close", "Del", "close page", "twice closes the page read aloud; its ticks stay in the log", "", "Call"),
    _a("call.page_up", "Up", "line before", "on a page read aloud: the line before", "", "Call"),
    _a("call.page_down", "Down", "line after", "on a page read aloud: the next line", "", "Call"),
)  # fmt: skip


def _book(id_: str, keys: str, word: str, does: str, menu: str) -> Action:
    return _a(f"book.{id_}", keys, word, does, menu, "Book")


_BOOK = (
    _book("edit", "Return", "type", "type into the first field of what is chosen; Tab goes on", "Edit"),
    _book("next", "Tab", "next field", "the same; on a page nothing", ""),
    _book("find", "Ctrl+F", "find", "find an item or a cue by number or word", "Edit"),
    _book("show", "Ctrl+Home", "show", "the show's own name, place and times", "Edit"),
    _book("new_cue", "Ctrl+N", "new cue", "a new cue: who, when, what (or double-click a lane)", "Cue"),
    _book("earlier", "Alt+Left", "earlier", "the cue a beat earlier; dragging does it too", "Cue"),
    _book("later", "Alt+Right", "later", "the cue a beat later", "Cue"),
    _book("bar_earlier", "Alt+Shift+Left", "a bar earlier", "the cue a bar earlier", "Cue"),
    _book("bar_later", "Alt+Shift+Right", "a bar later", "the cue a bar later", "Cue"),
    _book("copy", "Ctrl+C", "copy", "copy the cue", "Cue"),
    _book("cut", "Ctrl+X", "cut", "take the cue out, to put it in elsewhere", "Cue"),
    _book("paste", "Ctrl+V", "paste", "put it into this item at the same place", "Cue"),
    _book("remove", "Del", "remove", "take out the cue; with no cue chosen, the item", "Cue"),
    _book("renumber", "Ctrl+R", "renumber", "number a range of cues anew", "Cue"),
    _book("send", "Ctrl+Return", "send once", "send what the cue sends, once, while no show is live", "Cue"),
    _book("unmark", "Ctrl+Shift+Return", "mark back", "on the day sheet: take the last press back, a door or a begin", "Item"),
    _book("new_item", "Ctrl+Shift+N", "new item", "a new song, talk, walk-on, changeover or interval", "Item"),
    _book("up", "Alt+Up", "up", "the item up the running order; dragging does it too", "Item"),
    _book("down", "Alt+Down", "down", "the item down the running order", "Item"),
    _book("out", "Ctrl+T", "cut tonight", "cut the item tonight, or put it back in", "Item"),
    _book("split", "Ctrl+J", "split", "split the item at the chosen cue", "Item"),
    _book("tap", "Ctrl+B", "tap tempo", "tap the song's tempo", "Item"),
    _book("length", "Ctrl+Shift+B", "tap length", "tap the item's length: once at its start, once at its end", "Item"),
    _book("lyrics", "Ctrl+Shift+L", "lyrics", "the song's words, line by line; a cue can hang on one", "Item"),
    _book("closer", "Ctrl+=", "closer", "zoom in; Ctrl and the wheel do it too", "View"),
    _book("further", "Ctrl+-", "further", "zoom out", "View"),
    _book("whole", "Ctrl+0", "whole", "the whole item in view", "View"),
    _book("import", "Ctrl+I", "import", "take in a spreadsheet, a MIDI file, a timeline or lyrics", "Show"),
    _book("export", "Ctrl+P", "export", "write the call script, cue sheets, spreadsheets, day sheet", "Show"),
    _book("editions", "Ctrl+D", "editions", "freeze an edition, compare two, bring something back", "Show"),
    _book("people", "Ctrl+Shift+E", "people", "who is called when, who is there, whose break is due, who stands in", "Show"),
    _book("rehearsed", "Ctrl+Shift+R", "rehearsed", "which cues have never been run, and which changed since they were", "Show"),
    _book("venues", "Ctrl+Shift+V", "venues", "places of the tour, their nights and whom to call; which one is tonight", "Show"),
    _book("day", "Ctrl+Shift+D", "day sheet", "doors, support, curfew, get-out: what is planned when", "Show"),
    _book("setup", "Ctrl+U", "set-up", "departments, outputs, clearances, pages read aloud", "Show"),
    _book("tonight", "Ctrl+Shift+T", "for tonight", "changes go to the show that is on; again: to the book", "Show"),
    _book("changes", "Ctrl+Shift+C", "tonight's changes", "what was changed while the show was on: apply it to the book", "Show"),
    _book("check", "Ctrl+G", "check", "is tonight's show ready?", "Show"),
    _book("item_before", "Up", "item before", "choose the item before; on a page the line before", ""),
    _book("item_after", "Down", "item after", "choose the item after", ""),
    _book("page_up", "PgUp", "ten back", "ten lines up on a page", ""),
    _book("page_down", "PgDown", "ten on", "ten lines down on a page", ""),
    _book("cue_before", "Left", "cue before", "choose the cue before", ""),
    _book("cue_after", "Right", "cue after", "choose the cue after", ""),
)  # fmt: skip


def _wall(id_: str, keys: str, word: str, does: str, menu: str = "Wall") -> Action:
    return _a(f"wall.{id_}", keys, word, does, menu, "Wall")


_WALL = (
    _wall("play", "Space Ctrl+Space", "play", "play the item against the clock, or stop"),
    _wall("back", "Ctrl+Left", "back 5 s", "five seconds back"),
    _wall("on", "Ctrl+Right", "on 5 s", "five seconds on"),
    *(_wall(f"{unit}_{way}", f"{held}{arrow}", f"{unit} {way}", f"a {unit} {way}{', standing still' * (unit == 'frame')}") for unit, held in (("frame", "Shift+"), ("second", "Ctrl+Shift+")) for way, arrow in (("back", "Left"), ("on", "Right"))),
    *(_wall(f"shuttle_{way}", f"Ctrl+Shift+{key}", f"shuttle {way}", does) for way, key, does in (("back", "PgUp", "slower, then backwards, up to 16×"), ("on", "PgDown", "faster: 2, 4, 8, 16×"))),
    _wall("loop", "Ctrl+Shift+L", "loop", "play this section again and again; again: no more"),
    _wall("follow", "Home", "follow", "follow the show again; without one, the item's start"),
    _wall("front", "Ctrl+Up", "in front", "choose the layer in front", "Layer"),
    _wall("behind", "Ctrl+Down", "behind", "choose the layer behind", "Layer"),
    _wall("edit", "Return", "type", "type into the first field of the chosen layer; Tab goes on", "Layer"),
    _wall("raise", "Ctrl+Shift+Up", "to the front", "the layer one further to the front", "Layer"), _wall("lower", "Ctrl+Shift+Down", "to the back", "the layer one further to the back", "Layer"),
    _wall("fit", "Ctrl+J", "restore aspect", "the layer's height so that its picture is not distorted", "Layer"),
    _wall("fill", "Ctrl+Shift+J", "fill", "the layer over its input, cut to fit; again over the whole wall", "Layer"),
    _wall("here", "Ctrl+H", "here only", "the layer's changes count here only; again: as the look has it", "Layer"),
    _wall("hide", "Ctrl+Shift+H", "out here", "leave the layer out here only; in a show out now, again: back in", "Layer"),
    _wall("fainter", "Alt+PgDown", "fainter", "the layer 5 % fainter; the wheel over it does it too", "Layer"), _wall("fuller", "Alt+PgUp", "fuller", "the layer 5 % fuller", "Layer"),
    _wall("new_layer", "Ctrl+N", "new layer", "put a source on this look; in a show without a wall: make one", "Layer"),
    _wall("remove", "Del", "remove", "take the layer out of its look", "Layer"),
    _wall("new_source", "Ctrl+Alt+N", "new source", "a new camera, clip, still, generator or live picture"),
    _wall("new_look", "Ctrl+Shift+N", "new look", "a new look in a line: chorus at 33: Tide, Left camera left"),
    _wall("change", "Ctrl+B", "transition", "the transition into this look: mix over 8 beats"),
    _wall("try", "Ctrl+T", "try a look", "preview another look here; in a show it is put up on the wall"),
    _wall("keep", "Ctrl+Return", "keep", "let the cue here bring what is previewed; in a show keep what was played: a look, a cue, here"),
    _wall("take", "Ctrl+G", "take", "in a show: what is next goes on the wall now, by its transition"),
    _wall("prepare", "Ctrl+Shift+T", "next look", "in a show: choose the look that is next; nothing goes out yet"),
    _wall("next_before", "Ctrl+PgUp", "next: before", "in a show: the look before it in the list is next"),
    _wall("next_after", "Ctrl+PgDown", "next: after", "in a show: the look after it in the list is next"),
    _wall("side", "Ctrl+Alt+G", "on / next", "in a show: keys and fields change the look that is next, or what is on"),
    _wall("plan", "Ctrl+Home", "back to the plan", "in a show: the planned look again, without what was done by hand"),
    _wall("compare", "Ctrl+D", "A/B", "compare with another edition; again to switch between both"),
    _wall("grid", "F4", "grid", "looks and sources as tiles; at the director's seat letters put them on; again: not"),
    _wall("learn", "Shift+F4", "learn", "teach a pad or a fader: choose a tile or a word of the grid, then touch it"),
    _wall("controllers", "Ctrl+Shift+F4", "controllers", "what pads and faders do: list, take out, set the lights"),
    _wall("setup", "Ctrl+U", "set-up", "the wall, its inputs and its sources as a form: size, names, files, grades"),
    _wall("read", "Ctrl+Alt+R", "read files", "what the sources' files say: size, pixel shape, rate, length, colour"),
    _wall("file", "Ctrl+Alt+F", "choose file", "another file for the chosen source"),
    _wall("test", "Ctrl+Shift+U", "test pictures", "grid, ramp, levels, a moving bar on the wall; all of them, pixel map and template as files"),
    _wall("cameras", "Ctrl+Alt+C", "camera sheets", "a PDF for each camera's operator: shots, lens, move, when it is on the wall"),
    _wall("seats", "Ctrl+Alt+V", "from the seats", "the wall in perspective: front row, desk, last row, side; text that can be read, what is hidden"),
    _wall("panel", "Tab", "panel", "sources and channels, messages, faults, data, grid, set-up, cameras"),
    _wall("item_before", "Up", "item before", "the item before", ""),
    _wall("item_after", "Down", "item after", "the item after", ""),
    _wall("look_before", "Left", "look before", "the look before", ""),
    _wall("look_after", "Right", "look after", "the look after", ""),
    *(_wall(f"{far}{way.lower()}", f"Alt+{'Shift+' * bool(far)}{way}", f"move {way.lower()}", f"move the layer {way.lower()}{', further' * bool(far)}", "")
      for far in ("", "far_") for way in ("Left", "Right", "Up", "Down")),
)  # fmt: skip


_LETTERS = "QWERTYUASDFGHJZXCVBNM"
"""A letter a place of the grid, as three rows of seven lie on a keyboard; heard while it has the keyboard."""


def _tile(id_: str, keys: str, word: str, does: str, menu: str = "") -> Action:
    return _a(f"tile.{id_}", keys, word, does, menu, "Grid")


_GRID = (
    *(_tile(f"put_{n}", key, f"tile {n}", "put this look on; or this source into the chosen layer") for n, key in enumerate(_LETTERS, 1)),
    *(_tile(f"next_{n}", f"Shift+{key}", f"tile {n} next", "make this look the next one") for n, key in enumerate(_LETTERS, 1)),
    *(_tile(f"how_{n}", f"{n}", f"change {n}", "the change by which a touch brings a look") for n in range(1, 7)),
    _tile("page_back", "PgUp", "page before", "the page of tiles before"),
    _tile("page_on", "PgDown", "page after", "the next page of tiles"),
)  # fmt: skip


def _drift(id_: str, keys: str, word: str, does: str, menu: str = "Record") -> Action:
    return _a(f"drift.{id_}", keys, word, does, menu, "Drift")


_DRIFT = (
    _drift("run_before", "Left", "previous show", "the show or rehearsal before"),
    _drift("run_after", "Right", "next show", "the show or rehearsal after"),
    _drift("row_before", "Up", "line before", "the line before", ""),
    _drift("row_after", "Down", "line after", "the next line of the list; the recording goes there", ""),
    _drift("rows_back", "PgUp", "ten back", "ten lines back", ""),
    _drift("rows_on", "PgDown", "ten on", "ten lines on", ""),
    _drift("first", "Home", "first", "the first line", ""),
    _drift("last", "End", "last", "the last line", ""),
    _drift("list", "Tab", "list", "the next list: cues, items, notes, people, messages, the day sheet, the tour, the wall, to decide"),
    _drift("list_back", "Shift+Tab", "list before", "the list before"),
    _drift("play", "Ctrl+Space", "play", "play the recording from here, or pause"),
    _drift("frame_back", "Alt+Left", "frame back", "one frame back", ""),
    _drift("frame_on", "Alt+Right", "frame on", "one frame on", ""),
    _drift("second_back", "Alt+Shift+Left", "second back", "one second back", ""),
    _drift("second_on", "Alt+Shift+Right", "second on", "one second on", ""),
    _drift("recording", "Ctrl+O", "recording", "choose the video of this show or rehearsal"),
    _drift("tap", "Ctrl+T", "tap", "the frame that is shown is the chosen line: align the recording by it"),
    _drift("align", "Ctrl+Shift+T", "align", "align by timecode (the file's own, or LTC on its sound), or by a song's sound"),
    _drift("stood", "Ctrl+F", "what stood", "what stood on the wall: in a section, in bars, between two times, in the last seconds"),
    _drift("good", "Shift+F2", "good", "this moment was good; again at once: a word on it"),
    _drift("bad", "Shift+F3", "bad", "this moment was bad; again at once: a word on it"),
    _drift("idea", "Shift+F4", "idea", "an idea at this moment; again at once: a word on it"),
    _drift("instead", "Shift+F5", "this instead", "apply another look or source to the book, at this moment"),
    _drift("said", "Ctrl+Shift+H", "headset track", "listen to the headset track: what was said, and when"),
    _drift("decide", "Ctrl+Shift+L", "to decide", "the list of what is to be decided: verdicts, and what was otherwise than planned"),
    _drift("apply", "Return", "apply", "apply the chosen line of that list to the book", ""),
    _drift("assign", "Shift+Return", "who does it", "give the chosen line of that list to somebody", ""),
    _drift("settle", "Delete", "leave it", "leave the chosen line of that list as it is; again: open it", ""),
    _drift("note", "Ctrl+N", "note", "write a note at this moment; 'near miss: …' makes it an incident"),
    _drift("mark", "Ctrl+D", "day sheet", "mark that a schedule entry began or ended"),
    _drift("count", "Ctrl+Shift+I", "in the charts", "put this show or rehearsal into the tour's charts, or leave it out"),
    _drift("export", "Ctrl+P", "reports", "write the report: PDF, web page, spreadsheet, chapters, markers"),
    *(_drift(f"take{n}", f"Alt+{n}", f"apply offer {n}", f"apply offer {n} to the book") for n in range(1, 6)),
)  # fmt: skip

ACTIONS: Mapping[str, Action] = {a.id: a for a in (*_RUN, *_DESK, *_CALL, *_BOOK, *_WALL, *_GRID, *_DRIFT)}
"""Every action by its id, in the order in which menus and pages have them."""

MENUS = (
    "Show", "Edit", "Cue", "Item", "Wall", "Layer", "Call", "Clock", "Night", "Record", "View", "Seat", "Help",
)  # fmt: skip
"""The menu bar, from the left."""

BUTTONS: Mapping[str, tuple[str, ...]] = {
    "Book": ("new_cue", "new_item", "find", "import", "export", "editions", "day", "setup", "check"),
    "Wall": ("play", "new_layer", "try", "change", "new_look", "compare"),
    "Wall live": ("side", "change", "keep", "plan", "prepare", "take"),
    "Drift tape": ("stood", "instead", "good", "bad", "idea", "decide", "play", "recording"),
    "Drift": ("list", "stood", "decide", "recording", "play", "note", "export", "mark", "count"),
}  # fmt: skip
"""Those that also stand as words in their area."""

CONTEXT: Mapping[str, tuple[str, ...]] = {
    "cue": ("book.edit", "book.copy", "book.cut", "book.paste", "book.earlier", "book.later", "book.split", "book.send", "book.remove"),
    "item": ("book.edit", "book.new_cue", "book.new_item", "book.paste", "book.up", "book.down", "book.out", "book.tap",
             "book.lyrics", "book.remove"),
    "layer": ("wall.edit", "wall.raise", "wall.lower", "wall.fit", "wall.fill", "wall.here", "wall.hide", "wall.fainter", "wall.fuller", "wall.remove"),
    "look": ("wall.new_layer", "wall.try", "wall.change", "wall.new_look", "wall.compare", "wall.play"),
    "row": ("drift.note", "drift.play", "drift.tap", "drift.mark", "drift.export"),
}  # fmt: skip
"""What a right click on such a thing offers."""


def acts_in(action: Action, area: str) -> bool:
    """Whether an action can be done with this area in front; ``Grid``: the Wall, its grid having the keyboard."""
    within = area in action.where or (area == "Grid" and "Wall" in action.where)
    return within or action.where in (("desk",), ("run",))


def area_of(action: Action) -> str:
    """The area to which an action of an area belongs."""
    return "Wall" if action.where == ("Grid",) else action.where[0]
