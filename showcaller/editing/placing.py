"""When a cue is, as people type it: ``69/3``, ``1:23.5``, ``01:00:12:10``, ``after lights 12 + 2``."""

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from showcaller.editing.changes import ChangeError
from showcaller.model import (
    AfterAnchor,
    Anchor,
    BarAnchor,
    Cue,
    Item,
    Show,
    Song,
    TimeAnchor,
    TimecodeAnchor,
    VisualAnchor,
    WordAnchor,
)
from showcaller.model.quantities import fraction_of, parse_seconds, to_json
from showcaller.timing.lyrics import bare_word

HINT = (
    "bar/beat 69/3, time 1:23.5, timecode 01:00:12:10, 'after lights 12 + 2', 'when she waves, about 2:20', "
    "or a word of the lyrics: 'on lit'"
)

_FEW = 4
_BAR = re.compile(r"^(?:bar\s*)?(\d+)(?:\s*(?:/|beat|,)\s*([\d./]+))?$", re.IGNORECASE)
_CODE = re.compile(r"^\d{1,2}:\d{2}:\d{2}[:;]\d{2}$")
_AFTER = re.compile(r"^(?:after|follows?)\s+(.+?)(?:\s*\+\s*([\d.:/]+)\s*s?)?$", re.IGNORECASE)
_SEES = re.compile(r"^(?:when|sees?|seen)\s*:?\s+(.+?)(?:,\s*about\s+([\d.:/]+))?$", re.IGNORECASE)
_ON = re.compile(r"^on\s+(\S+)(?:\s+(\d+))?$", re.IGNORECASE)


def parse_anchor(text: str, show: Show, item: Item) -> dict[str, Any]:
    """The anchor meant, in the document's form. In a song with tempo a plain number is a bar, else seconds.

    Raises:
        ChangeError: it is none; the sentence says what would do.
    """
    words = text.strip()
    has_bars = isinstance(item, Song) and bool(item.tempo)
    if seen := _SEES.match(words):
        expect = {} if seen.group(2) is None else {"expect_s": to_json(_seconds(seen.group(2)))}
        return {"at": "visual", "sees": seen.group(1), **expect}
    if after := _AFTER.match(words):
        cue = find_cue(show, after.group(1), item)
        delay = _seconds(after.group(2)) if after.group(2) else Fraction(0)
        return {"at": "after", "cue": cue.id, "delay_s": to_json(delay)}
    if on := _ON.match(words):
        return _on_word(item, on.group(1), on.group(2))
    if _CODE.match(words):
        return {"at": "timecode", "timecode": words.zfill(11)}
    bar = _BAR.match(words)
    if bar and (has_bars or bar.group(2) or words.lower().startswith("bar")):
        if not has_bars:
            raise ChangeError(f"'{words}' is a bar, but {item.name} has no tempo; give a time such as 1:23.5")
        beat = _beat(bar.group(2) or "1")
        return {"at": "bar", "bar": int(bar.group(1)), "beat": to_json(beat)}
    return {"at": "time", "seconds": to_json(_seconds(words.removesuffix("s").strip()))}


def _beat(text: str) -> Fraction:
    try:
        return fraction_of(text)
    except (ValueError, ZeroDivisionError):
        raise ChangeError(f"'{text}' is not a beat; give 1, or 2.5 for the 'and' of 2") from None


def _seconds(text: str) -> Fraction:
    try:
        seconds = parse_seconds(text)
    except ValueError:
        raise ChangeError(f"'{text}' is not a time or a place; give {HINT}") from None
    if seconds < 0:
        raise ChangeError(f"{text} is before the item begins; give 0 or more")
    return seconds


def _on_word(item: Item, word: str, which: str | None) -> dict[str, Any]:
    places = list(places_of(item, word))
    if not places:
        have = "has no lyrics yet" if not getattr(item, "lyrics", ()) else "does not have it in its lyrics"
        raise ChangeError(f"'{word}' is not a word to hang on: {item.name} {have}; give {HINT}")
    if which is None and len(places) > 1:
        listed = "; ".join(
            f"'on {word} {n}' is in: {line}" for n, (_, _, line) in enumerate(places[:_FEW], 1)
        )
        more = f"; {len(places) - _FEW} more" if len(places) > _FEW else ""
        raise ChangeError(f"'{word}' is sung {len(places)} times: {listed}{more}")
    n = int(which[:6]) if which else 1
    if not 1 <= n <= len(places):
        times = "once" if len(places) == 1 else f"{len(places)} times"
        raise ChangeError(f"'{word}' is sung {times}; give 1 to {len(places)} behind it")
    line_id, place, _ = places[n - 1]
    return {"at": "word", "line": line_id, "word": place}


def places_of(item: Item, word: str) -> Iterator[tuple[str, int, str]]:
    """(the line's id, which of its words, its text) wherever a word is sung, in the order of the lyrics."""
    said = bare_word(word).casefold()
    for line in item.lyrics if isinstance(item, Song) else ():
        for n, one in enumerate(line.words, 1):
            if bare_word(one).casefold() == said:
                yield line.id, n, line.text


def anchor_text(anchor: Anchor, show: Show, item: Item) -> str:
    """An anchor as :func:`parse_anchor` reads it."""
    match anchor:
        case BarAnchor():
            return f"{anchor.bar}/{_plain(anchor.beat)}"
        case TimeAnchor():
            return clock_text(anchor.seconds)
        case TimecodeAnchor():
            return anchor.timecode
        case AfterAnchor():
            cue = next(c for c in show.all_cues() if c.id == anchor.cue)
            delay = f" + {_plain(anchor.delay_s)}" if anchor.delay_s else ""
            return f"after {cue_name(show, cue)}{delay}"
        case VisualAnchor():
            about = "" if anchor.expect_s is None else f", about {clock_text(anchor.expect_s)}"
            return f"when {anchor.sees}{about.removesuffix(' s')}"
        case WordAnchor():
            line = next(x for x in item.lyrics if x.id == anchor.line) if isinstance(item, Song) else None
            assert line is not None, "references are checked"
            word = bare_word(line.words[anchor.word - 1])
            places = [place[:2] for place in places_of(item, word)]
            which = "" if len(places) == 1 else f" {places.index((anchor.line, anchor.word)) + 1}"
            return f"on {word}{which}"


def clock_text(seconds: Fraction) -> str:
    """Exact seconds as ``m:ss.s``; as ``n/d`` with an s where no decimal is exact."""
    value = to_json(seconds)
    if isinstance(value, str):
        return f"{value} s"
    minutes, rest = divmod(Fraction(repr(value) if isinstance(value, float) else value), 60)
    whole, part = divmod(rest, 1)
    decimals = repr(float(part))[1:] if part else ""
    if "e" in decimals or minutes * 60 + whole + Fraction(decimals or 0) != seconds:
        return f"{value} s"
    return f"{minutes}:{int(whole):02d}{decimals}"


def _plain(value: Fraction) -> str:
    return str(to_json(value))


def cue_name(show: Show, cue: Cue) -> str:
    """``Lights 12.5``."""
    return f"{show.department(cue.department).name} {cue.number}"


def find_cue(show: Show, words: str, item: Item | None = None) -> Cue:
    """The cue called ``lights 12``, ``LX 12`` or by its id.

    Raises:
        ChangeError: there is none.
    """
    wanted = " ".join(words.lower().split())
    names = {f"{name} ".lower(): d.id for d in show.departments for name in (d.name, d.letters, d.id)}
    items = [item, *show.items] if item is not None else list(show.items)
    for one in items:
        for cue in one.cues:
            if cue.id == wanted:
                return cue
            for name, department in names.items():
                if cue.department == department and wanted == f"{name}{cue.number}":
                    return cue
    raise ChangeError(f"there is no cue '{words.strip()}'; name one as in 'lights 12'")
