"""The wall area's own keys. None is a plain letter: those belong to a run, which may be on meanwhile."""

from collections.abc import Mapping

WALL_KEYS: Mapping[str, tuple[str, str, str]] = {
    "play": ("Space", "play", "play the item against the clock, or stop"),
    "back": ("Ctrl+Left", "back 5 s", "five seconds back (with Shift one)"),
    "on": ("Ctrl+Right", "on 5 s", "five seconds on"),
    "front": ("Ctrl+Up", "in front", "choose the layer in front"),
    "behind": ("Ctrl+Down", "behind", "choose the layer behind"),
    "edit": ("Return", "type", "type into the first field of the chosen layer; Tab goes on"),
    "raise": ("Ctrl+Shift+Up", "to the front", "the layer one further to the front"),
    "lower": ("Ctrl+Shift+Down", "to the back", "the layer one further to the back"),
    "fit": ("Ctrl+J", "undistort", "the layer's height so that its picture is not distorted"),
    "fill": ("Ctrl+Shift+J", "fill", "the layer over the input it lies in most; again over the whole wall"),
    "here": ("Ctrl+H", "here only", "the layer's changes count here only; again: as the look has it"),
    "hide": ("Ctrl+Shift+H", "out here", "leave the layer out here only"),
    "new_layer": ("Ctrl+N", "new layer", "put a source on this look; in a show without a wall: make one"),
    "new_source": ("Ctrl+Alt+N", "new source", "a new camera, clip, still, generator or live picture"),
    "remove": ("Del", "remove", "take the layer out of its look"),
    "new_look": ("Ctrl+Shift+N", "new look", "a new look, beginning as this one"),
    "change": ("Ctrl+B", "how it comes", "how this look comes: mix over 8 beats"),
    "try": ("Ctrl+T", "try a look", "try another look here; in a run it goes on the wall"),
    "keep": ("Ctrl+Return", "keep", "keep the look that is tried"),
    "compare": ("Ctrl+D", "A/B", "compare with another edition; again to switch between both"),
    "undo": ("Ctrl+Z", "undo", "take back the last change"),
    "redo": ("Ctrl+Shift+Z", "redo", "make it again"),
    "panel": ("Tab", "panel", "channels and sources, what is sent, faults, the wall's facts"),
}
"""Name → key, its short word, what it does. Arrows alone step items and looks, with Alt they move a layer."""

BUTTONS = ("play", "new_layer", "try", "change", "new_look", "compare")
"""Those that also stand as words over the graph."""
