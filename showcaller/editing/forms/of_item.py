"""An item's form: for a song also its tempo, meter and sections, typed as lists."""

import re
from fractions import Fraction
from typing import Any

from showcaller.editing.changes import ChangeError, SetFields
from showcaller.editing.cues import item_at
from showcaller.editing.forms.field import Edited, FieldText, one_of, seconds_of, seconds_text, yes_or_no
from showcaller.editing.lengths import doubtful, length_with_units
from showcaller.editing.placing import clock_text
from showcaller.editing.running_order import make_alternate, set_out
from showcaller.model import Show, Song, WalkOn
from showcaller.model.quantities import parse_exact, parse_seconds, to_json

_TEMPO = re.compile(r"^(?:(?:bar\s*)?(\d+)(?:/([\d./]+))?\s+)?([\d./]+)(?:\s*bpm)?(\s+ramp)?$", re.IGNORECASE)
_METER = re.compile(r"^(?:(?:bar\s*)?(\d+)\s+)?(\d+/\d+)$", re.IGNORECASE)
_SECTION = re.compile(r"^(?:bar\s*)?(\d+)\s+(.+)$", re.IGNORECASE)
_VAMP = re.compile(r"^(.*?)\s*\(vamp\)\s*$", re.IGNORECASE)


def item_fields(show: Show, item_id: str) -> tuple[FieldText, ...]:
    """An item's fields, as they are."""
    item = item_at(show, item_id)
    fields = [
        FieldText("name", "name", item.name, "as people call it"),
        FieldText("length_s", "length", clock_text(item.length_s), "m:ss"),
        FieldText("shortest_s", "shortest", _clock(item.shortest_s), "m:ss; empty if not known"),
        FieldText("longest_s", "longest", _clock(item.longest_s), "m:ss; empty if not known"),
    ]
    if isinstance(item, Song):
        fields += [
            FieldText(
                "tempo", "tempo", tempo_text(item), "124, or with bars: 1 124; 33 132 ramp; empty: no tempo"
            ),
            FieldText("meters", "time signature", meter_text(item), "4/4, or with bars: 1 4/4; 17 7/8"),
            FieldText("sections", "sections", section_text(item), "1 intro; 9 verse 1; 25 break (vamp)"),
            FieldText(
                "downbeat_s", "bar 1 at", seconds_text(item.downbeat_s), "seconds after the item's start"
            ),
            FieldText(
                "timecode_start", "timecode", item.timecode_start or "", "hh:mm:ss:ff at the item's start"
            ),
            FieldText(
                "reference", "reference", item.reference or "", "an audio or video file; gives the length"
            ),
        ]
    if isinstance(item, WalkOn):
        routes = ", ".join(r.name for r in show.routes) or "none yet"
        name = next((r.name for r in show.routes if r.id == item.route), "")
        fields.append(FieldText("route", "route", name, f"routes: {routes}"))
    other = next((i.name for i in show.items if i.id == item.instead_of), "")
    if item.doubts:
        doubts = "; ".join(item.doubts)
        fields.insert(
            0, FieldText("doubts", "to confirm", doubts, "from an import; type ok once it is right")
        )
    return (
        *fields,
        FieldText("out", "cut tonight", "yes" if item.out else "no", "yes keeps it in the Book, not played"),
        FieldText("instead_of", "alternate for", other, "the item it can stand in for; empty if none"),
        FieldText(
            "cuttable",
            "may be cut",
            "yes" if item.cuttable else "no",
            "yes, if it may be cut to make the curfew",
        ),
        FieldText("notes", "note", item.notes, "for whoever calls or runs this"),
    )


def edit_item(show: Show, item_id: str, key: str, text: str) -> Edited:
    """What typing ``text`` into the field ``key`` of an item does.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    item = item_at(show, item_id)
    field = next(f for f in item_fields(show, item_id) if f.key == key)
    if text.strip() == field.text:
        return Edited("", None)
    words = f"{field.label} of {item.name}"
    if key == "out":
        return Edited(words, set_out(show, item_id, yes_or_no(text, "cut tonight")))
    if key == "instead_of" and text.strip():
        others = [(i.id, (i.name,)) for i in show.items if i.id != item_id]
        return Edited(words, make_alternate(show, item_id, one_of(text, others, "alternate for")))
    if key == "doubts":
        if text.strip().lower() not in ("", "ok", "yes"):
            raise ChangeError("to confirm: type ok once it is right; typing into the field does it too")
        return Edited(f"confirmed: {item.name}", SetFields(at=("items", item_id), fields={"doubts": []}))
    fields = _fields(show, key, text.strip())
    left = [d for d in item.doubts if d.partition(":")[0] not in (field.label, field.key)]
    if len(left) < len(item.doubts):
        fields["doubts"] = left  # who types the field knows what is in it
    shortest = _seconds(fields.get("shortest_s", item.shortest_s))
    longest = _seconds(fields.get("longest_s", item.longest_s))
    if (
        key in ("shortest_s", "longest_s")
        and shortest is not None
        and longest is not None
        and shortest > longest
    ):
        raise ChangeError(
            f"{item.name}: {clock_text(shortest)} at the shortest and {clock_text(longest)} at the longest"
        )
    return Edited(words, SetFields(at=("items", item_id), fields=fields))


def _seconds(value: object) -> Fraction | None:
    return None if value is None else parse_seconds(value)


def _fields(show: Show, key: str, text: str) -> dict[str, Any]:
    if key in ("length_s", "shortest_s", "longest_s"):
        return {key: _length(text, key.removesuffix("_s")) if text or key == "length_s" else None}
    if key == "downbeat_s":
        return {key: seconds_of(text or "0", "bar 1 at")}
    if key == "tempo":
        tempo = parse_tempo(text)
        return {"tempo": tempo, **({} if tempo else {"meters": [], "sections": []})}
    if key == "meters":
        return {key: parse_meters(text)}
    if key == "sections":
        return {key: parse_sections(text)}
    if key == "cuttable":
        return {key: yes_or_no(text, "may be cut")}
    if key in ("timecode_start", "instead_of", "reference"):
        return {key: text or None}
    if key == "route":
        return {key: one_of(text, [(r.id, (r.name,)) for r in show.routes], "route") if text else None}
    return {key: text}


def _length(text: str, label: str) -> int | float | str:
    refusal = doubtful(text)
    if refusal is not None:
        raise ChangeError(f"{label}: {refusal}")
    seconds = length_with_units(text)
    return seconds_of(text, label) if seconds is None else to_json(seconds)


def tempo_text(song: Song) -> str:
    """Tempo marks as :func:`parse_tempo` reads them."""
    marks = [(m.bar, m.beat, f"{to_json(m.bpm)}{' ramp' if m.ramp else ''}") for m in song.tempo]
    if len(marks) == 1 and marks[0][0] == 1 and marks[0][1] == 1:
        return marks[0][2]
    return "; ".join(f"{bar}{'' if beat == 1 else f'/{to_json(beat)}'} {words}" for bar, beat, words in marks)


def parse_tempo(text: str) -> list[dict[str, Any]]:
    """Tempo marks from ``124`` or ``1 124; 33/3 132 ramp``: bar/beat, beats a minute, ramp to the next.

    Raises:
        ChangeError: a part is not such a mark.
    """
    found: list[dict[str, Any]] = []
    for part in _parts(text):
        match = _TEMPO.match(part)
        if not match:
            raise ChangeError(f"tempo: '{part}' is not a tempo; give 124, or a bar and a tempo: 33 132")
        bar, beat, bpm, ramp = match.groups()
        mark: dict[str, Any] = {"bar": int(bar or 1), "bpm": to_json(_exact(bpm, "tempo"))}
        if beat:
            mark["beat"] = to_json(_exact(beat, "beat"))
        if ramp:
            mark["ramp"] = True
        found.append(mark)
    return found


def meter_text(song: Song) -> str:
    """Meter marks as :func:`parse_meters` reads them."""
    if len(song.meters) == 1 and song.meters[0].bar == 1:
        return song.meters[0].meter
    return "; ".join(f"{m.bar} {m.meter}" for m in song.meters)


def parse_meters(text: str) -> list[dict[str, Any]]:
    """Meter marks from ``6/8`` or ``1 4/4; 17 7/8``.

    Raises:
        ChangeError: a part is not such a mark.
    """
    found = []
    for part in _parts(text):
        match = _METER.match(part)
        beats, unit = match.group(2).split("/") if match else ("0", "0")
        if not match or not 1 <= int(beats) <= 64 or int(unit) not in (1, 2, 4, 8, 16, 32, 64):
            raise ChangeError(f"time signature: '{part}' is not one; give 4/4, or a bar and one: 17 7/8")
        found.append({"bar": int(match.group(1) or 1), "meter": match.group(2)})
    return found


def section_text(song: Song) -> str:
    """Sections as :func:`parse_sections` reads them."""
    return "; ".join(f"{s.bar} {s.name}{' (vamp)' if s.vamp else ''}" for s in song.sections)


def parse_sections(text: str) -> list[dict[str, Any]]:
    """Sections from ``1 intro; 9 break (vamp); 17 verse 1``, put in order of bars.

    Raises:
        ChangeError: a part has no bar.
    """
    found = []
    for part in _parts(text):
        match = _SECTION.match(part)
        if not match:
            raise ChangeError(f"sections: '{part}' needs its first bar and a name: 9 verse 1")
        vamp = _VAMP.match(match.group(2))
        name = (vamp.group(1).strip() or "vamp") if vamp else match.group(2)
        found.append({"name": name, "bar": int(match.group(1))} | ({"vamp": True} if vamp else {}))
    return sorted(found, key=lambda s: int(str(s["bar"])))


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(";") if part.strip()]


def _exact(text: str, label: str) -> Fraction:
    try:
        return parse_exact(text)
    except ValueError as error:
        raise ChangeError(f"{label}: {error}") from None


def _clock(seconds: Fraction | None) -> str:
    return "" if seconds is None else clock_text(seconds)
