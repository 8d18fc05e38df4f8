"""The show as frozen, validated data. Nothing here knows a clock, a socket or a window."""

from showcaller.model.anchors import (
    AfterAnchor,
    Anchor,
    BarAnchor,
    TimeAnchor,
    TimecodeAnchor,
    VisualAnchor,
    WordAnchor,
)
from showcaller.model.cameras import CameraShot
from showcaller.model.crew import BreakRule, CrewMember
from showcaller.model.cues import Cue, Hazard
from showcaller.model.day import ClockTime, DayItem, DayKind
from showcaller.model.document import DocumentError, parse_show, read_show, show_text, write_show
from showcaller.model.house import House, HousePlace, StagePlace, Tower
from showcaller.model.items import Changeover, Interval, Item, Song, Talk, WalkOn
from showcaller.model.lyrics import LyricLine
from showcaller.model.media import FileFacts, Grade, Playback
from showcaller.model.messages import (
    Message,
    MidiControl,
    MidiMachineControl,
    MidiNote,
    MidiProgram,
    MidiShowControl,
    MidiSysex,
    OscMessage,
    TypedArg,
)
from showcaller.model.outlets import MidiOutlet, OscTcpOutlet, OscUdpOutlet, Outlet
from showcaller.model.pages import PageKind, PageLine, SpokenPage
from showcaller.model.people import Clearance, Department, Leg, ReadingClearance, Route, Walker, YesClearance
from showcaller.model.sending import LookSend
from showcaller.model.show import HouseWording, Language, Show, Speaking, TimecodeRate
from showcaller.model.tempo import MeterMark, Section, TempoMark
from showcaller.model.timecode_in import Chasing, LtcIn, MtcIn, TimecodeIn
from showcaller.model.treatments import (
    Blur,
    ColourKey,
    Contrast,
    LumaKey,
    Mirror,
    Monochrome,
    Posterize,
    Tint,
    Treatment,
)
from showcaller.model.venues import Contact, Date, Venue
from showcaller.model.wall import (
    ChannelPool,
    Crop,
    Layer,
    Look,
    LookChange,
    Override,
    Source,
    SurfacePlace,
    Wall,
    WallInput,
)

__all__ = [
    "AfterAnchor", "Anchor", "BarAnchor", "Blur", "BreakRule", "CameraShot", "Changeover",
    "ChannelPool", "Chasing", "Clearance", "ClockTime", "ColourKey", "Contact", "Contrast",
    "CrewMember", "Crop", "Cue", "Date", "DayItem", "DayKind", "Department", "DocumentError",
    "FileFacts", "Grade", "Hazard", "House", "HousePlace", "HouseWording", "Interval", "Item",
    "Language", "Layer", "Leg", "Look", "LookChange", "LookSend", "LtcIn", "LumaKey", "LyricLine",
    "Message", "MeterMark", "MidiControl", "MidiMachineControl", "MidiNote", "MidiOutlet",
    "MidiProgram", "MidiShowControl", "MidiSysex", "Mirror", "Monochrome", "MtcIn", "OscMessage",
    "OscTcpOutlet", "OscUdpOutlet", "Outlet", "Override", "PageKind", "PageLine", "Playback",
    "Posterize", "ReadingClearance", "Route", "Section", "Show", "Song", "Source", "Speaking",
    "SpokenPage", "StagePlace", "SurfacePlace", "Talk", "TempoMark", "TimeAnchor", "TimecodeAnchor",
    "TimecodeIn", "TimecodeRate", "Tint", "Tower", "Treatment", "TypedArg", "Venue", "VisualAnchor", "WalkOn",
    "Walker", "Wall", "WallInput", "WordAnchor", "YesClearance", "parse_show", "read_show", "show_text",
    "write_show",
]  # fmt: skip
