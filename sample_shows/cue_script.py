"""The small vocabulary the sample show is written in: moments, the cues that fall on them, items.

A moment is one instant of an item with all its cues, so that what is called together stands together.
Numbers are dealt out in writing order, department by department; ids come from the item, so that they stay
when numbers change.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from showcaller.model.quantities import parse_seconds
from showcaller.model.show import Show

Json = dict[str, Any]

LETTERS = {
    "lights": "lx", "video": "vid", "sound": "snd", "spots": "sp",
    "moves": "mv", "deck": "dk", "effects": "fx",
}  # fmt: skip


@dataclass(frozen=True)
class Draft:
    """A cue before it has a number: its department, label, and whatever else its JSON says."""

    department: str
    label: str
    more: Json = field(default_factory=dict)
    followers: tuple[tuple[float, Draft], ...] = ()
    squeezed_in: bool = False
    """Added after numbers were given out: takes the number before it plus a half."""
    midi: tuple[Json, ...] = ()
    """Sent besides what the department always sends."""
    show_control: bool = False
    """A lighting cue that goes as MIDI Show Control instead of OSC."""

    def itself(self) -> Draft:
        """The same cue, firing by itself at its instant."""
        return replace(self, more={**self.more, "fires": "by itself"})

    def then(self, delay_s: float, draft: Draft) -> Draft:
        """The same cue with another following it by itself."""
        return replace(self, followers=(*self.followers, (delay_s, draft.itself())))

    def half(self) -> Draft:
        """The same cue, squeezed in between two whole numbers."""
        return replace(self, squeezed_in=True)

    def msc(self) -> Draft:
        """The same cue, sent as MIDI Show Control."""
        return replace(self, show_control=True)


def lx(label: str, **more: Any) -> Draft:
    """A lighting cue."""
    return Draft("lights", label, more)


def vid(look: str, by: str = "cut", beats: float = 0, label: str = "", **more: Any) -> Draft:
    """A change of look on the wall."""
    change: Json = {"look": look, "by": by, "beats": beats}
    return Draft("video", label or look.replace("-", " ").capitalize(), {"look": change, **more})


def snd(label: str, *midi: Json, **more: Any) -> Draft:
    """A sound cue, with MIDI for the instruments where there is any."""
    return Draft("sound", label, more, midi=midi)


def sp(label: str, **more: Any) -> Draft:
    """A followspot cue; people carry it out, nothing is sent."""
    return Draft("spots", label, more)


def dk(label: str, **more: Any) -> Draft:
    """A cue of the deck crew; people carry it out, nothing is sent."""
    return Draft("deck", label, more)


def mv(label: str, **more: Any) -> Draft:
    """A move of the crane: always called, always cleared, the operator's own enable decides."""
    hazard = {
        "kind": "moving scenery",
        "caution": "Nobody inside the marked zone. The operator watches all of the move and holds the "
        "enable; anyone on headset may say stop. Local codes and the engineer's letter decide.",
        "responsible": "Bo Tallis, crane operator",
    }
    needs = ["crane-zone", "crane-gust"]
    usual = {"standby_s": 12, "warning_s": 45, "needs": needs, "hazard": hazard}
    return Draft("moves", label, {**usual, **more})


def fx(label: str, **more: Any) -> Draft:
    """A pyrotechnic effect: called as information; the licensed technician fires it from her own system."""
    hazard = {
        "kind": "pyrotechnics",
        "caution": "Fired only by the licensed technician, from her own system, with the area seen empty; "
        "no yes, no effect. Anyone on headset may say stop. Licence and local codes decide.",
        "responsible": "Ines Corrigan, licensed effects technician",
    }
    needs = ["effects-area", "effects-yes"]
    usual = {"standby_s": 15, "warning_s": 60, "needs": needs, "hazard": hazard}
    return Draft("effects", label, {**usual, **more})


Moment = tuple[Json, tuple[Draft, ...]]


def bar(number: int, *drafts: Draft, beat: float = 1) -> Moment:
    """At a bar and beat."""
    return {"at": "bar", "bar": number, "beat": beat}, drafts


def secs(seconds: float, *drafts: Draft) -> Moment:
    """At so many seconds into the item."""
    return {"at": "time", "seconds": seconds}, drafts


def code(timecode: str, *drafts: Draft) -> Moment:
    """At a timecode."""
    return {"at": "timecode", "timecode": timecode}, drafts


def eye(sees: str, expect_s: float, *drafts: Draft) -> Moment:
    """When something is seen, expected about there."""
    return {"at": "visual", "sees": sees, "expect_s": expect_s}, drafts


def sung(line: str, word: int, *drafts: Draft) -> Moment:
    """On a word of a line of the song's lyrics, counted from 1."""
    return {"at": "word", "line": line, "word": word}, drafts


def sections(text: str) -> list[Json]:
    """``"Verse 9, Chorus 25"`` as sections."""
    pairs = (part.strip().rsplit(" ", 1) for part in text.split(","))
    return [{"name": name, "bar": int(at)} for name, at in pairs]


def shots(text: str) -> list[Json]:
    """``"front 33-48: Wren, close; 85 mm; hold"``, a line each, as shots of the sample's cameras."""
    found: list[Json] = []
    for line in text.strip().splitlines():
        head, what, *more = (p.strip() for p in line.replace(":", ";", 1).split(";"))
        camera, bars = head.split()
        first, last = bars.split("-")
        extra = dict(zip(("lens", "move"), more, strict=False))
        found.append(
            {"camera": f"cam-{camera}", "bar": int(first), "until_bar": int(last), "what": what, **extra}
        )
    return found


class RunningOrder:
    """Collects items and deals out the cue numbers."""

    def __init__(self) -> None:
        self.items: list[Json] = []
        self._last: dict[str, Decimal] = defaultdict(Decimal)

    def add(self, kind: str, item_id: str, name: str, length: str, *moments: Moment, **more: Any) -> None:
        """The next item; ``length`` as ``m:ss``, ``more`` as in the show document."""
        self._count: dict[str, int] = defaultdict(int)
        cues: list[Json] = []
        for anchor, drafts in moments:
            for draft in drafts:
                self._cue(cues, item_id, anchor, draft)
        seconds = parse_seconds(length)
        self.items.append(
            {"kind": kind, "id": item_id, "name": name, "length_s": int(seconds), **more, "cues": cues}
        )

    def _cue(self, cues: list[Json], item_id: str, anchor: Json, draft: Draft) -> None:
        letters = LETTERS[draft.department]
        self._count[letters] += 1
        last = self._last[letters]
        number = last + Decimal("0.5") if draft.squeezed_in else Decimal(int(last) + 1)
        self._last[letters] = number
        cue_id = f"{item_id}-{letters}-{self._count[letters]}"
        messages = [*_messages(draft, str(number)), *draft.midi]
        cues.append(
            {
                "id": cue_id, "department": draft.department, "number": str(number), "label": draft.label,
                "anchor": anchor, "messages": messages, **draft.more,
            }
        )  # fmt: skip
        for delay_s, follower in draft.followers:
            self._cue(cues, item_id, {"at": "after", "cue": cue_id, "delay_s": delay_s}, follower)

    def show(self, top: Json) -> Show:
        """The whole document, validated."""
        return Show.model_validate({"format": "showcaller/show", "version": 2, **top, "items": self.items})


def _messages(draft: Draft, number: str) -> list[Json]:
    """What a department's cue always sends. Spots and deck are people; effects are never sent anything."""
    if draft.department == "lights" and draft.show_control:
        go = {"device": 1, "format": "lighting", "command": "go", "cue": number, "list": "1"}
        return [{"kind": "msc", "outlet": "show-control", **go}]
    if draft.department == "lights":
        return [_osc("lighting-desk", "/lighting/go", number)]
    if draft.department == "video":
        look = draft.more["look"]
        return [_osc("wall-processor", "/wall/look", look["look"], look["by"], float(look["beats"]))]
    if draft.department == "sound" and not draft.midi:
        return [_osc("sound-playback", "/playback/go", number)]
    if draft.department == "moves":
        # Words on the operator's screen; the crane itself takes no orders from a show caller's desk.
        return [_osc("gantry-controller", "/gantry/notice", f"Moves {number} called", draft.label)]
    return []


def _osc(outlet: str, address: str, *args: str | float) -> Json:
    return {"kind": "osc", "outlet": outlet, "address": address, "args": list(args)}


__all__ = ["Draft", "Json", "Moment", "RunningOrder", "bar", "code", "dk", "eye", "fx", "lx", "mv",
           "secs", "sections", "shots", "snd", "sp", "vid"]  # fmt: skip
