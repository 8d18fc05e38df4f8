"""A song's lyrics as they are typed, line by line, and what a change of them does to cues on a word."""

import re
from collections.abc import Sequence
from difflib import SequenceMatcher
from fractions import Fraction
from typing import Any

from showcaller.editing.changes import Change, ChangeError, Move, Put, SetFields, Take, Together, stored
from showcaller.editing.cues import cue_path, item_at
from showcaller.editing.naming import free_id
from showcaller.editing.placing import clock_text, cue_name
from showcaller.model import LyricLine, Show, Song, WordAnchor
from showcaller.model.quantities import fraction_of, parse_seconds, to_json
from showcaller.timing.lyrics import bare_word
from showcaller.timing.plan import compile_item

HINT = (
    "a bar, bar/beat or time and the words: 69 The lamps are lit; without one it lies between its neighbours"
)

_PLACED = re.compile(
    r"^(\d+(?:/[\d.]+(?:/\d+)?)?|\d+(?::\d\d){1,2}(?:\.\d+)?|[\d./e+-]+s)\s+(\S.*)$", re.DOTALL
)
_BARE = re.compile(r"^-\s+(\S.*)$", re.DOTALL)


def song_at(show: Show, item_id: str) -> Song:
    """The song with this id.

    Raises:
        ChangeError: there is none, or it is no song.
    """
    item = item_at(show, item_id)
    if not isinstance(item, Song):
        raise ChangeError(f"lyrics are a song's, and {item.name} is a {item.kind}; choose the song first")
    return item


def line_text(line: LyricLine) -> str:
    """A line as :func:`parse_line` reads it: its place, if it has one, and its words."""
    place = place_text(line)
    if place:
        return f"{place} {line.text}"
    return f"- {line.text}" if _PLACED.match(line.text) or _BARE.match(line.text) else line.text


def place_text(line: LyricLine) -> str:
    """A line's own place, ``69``, ``69/3`` or ``1:23``; empty for one that lies between its neighbours."""
    if line.bar is not None:
        return f"{line.bar}{'' if line.beat == 1 else f'/{to_json(line.beat)}'}"
    return "" if line.seconds is None else clock_text(line.seconds).replace(" s", "s")


def parse_line(text: str, has_bars: bool) -> dict[str, Any]:
    """A line's place and words, in the document's form, from ``69 The lamps are lit``, ``69/3 …``,
    ``1:23.5 …``, or words alone; ``- 99 lamps`` begins with a number that is no place. Without bars a plain
    number is seconds.

    Raises:
        ChangeError: there are no words, or the place cannot be read.
    """
    words = text.strip()
    if bare := _BARE.match(words):
        return {"text": _words(bare.group(1))}
    placed = _PLACED.match(words)
    if not placed:
        return {"text": _words(words)}
    place, rest = placed.groups()
    if ":" in place or place.endswith("s") or not has_bars:
        if "/" in place and not place.endswith("s"):
            raise ChangeError(
                f"'{place}' is a bar and beat, and the song has no tempo; give a time such as 1:23"
            )
        return {"text": _words(rest), "seconds": to_json(_seconds(place.removesuffix("s")))}
    bar, _, beat = place.partition("/")
    if not 1 <= int(bar) <= 9999:
        raise ChangeError(f"'{bar}' is not a bar; give 1 to 9999, or - before words that begin with a number")
    found = {"text": _words(rest), "bar": int(bar)}
    return found | ({"beat": to_json(_beat(beat))} if beat else {})


def _words(text: str) -> str:
    words = text.strip()
    if not words:
        raise ChangeError(f"there are no words; give {HINT}")
    if len(words) > 400:
        raise ChangeError(f"the line has {len(words)} characters; 400 is the limit, so make it two")
    return words


def _seconds(text: str) -> Fraction:
    try:
        return parse_seconds(text)
    except ValueError:
        raise ChangeError(f"'{text}' is not a time; give m:ss (1:23.5)") from None


def _beat(text: str) -> Fraction:
    try:
        beat = fraction_of(text)
    except (ValueError, ZeroDivisionError):
        beat = Fraction(0)
    if beat < 1:
        raise ChangeError(f"'{text}' is not a beat; give 1, or 2.5 for the 'and' of 2")
    return beat


def add_line(show: Show, song_id: str, index: int, text: str) -> Change:
    """A line from ``text`` as it is typed, before the one at ``index``."""
    song = song_at(show, song_id)
    part = parse_line(text, bool(song.tempo))
    new = free_id(f"line-{len(song.lyrics) + 1}", {line.id for line in song.lyrics})
    return Put(at=("items", song.id, "lyrics"), index=index, part={"id": new} | part)


def change_line(show: Show, song_id: str, line_id: str, text: str) -> tuple[Change, str]:
    """(the change, what it does to cues on its words, in words) of a line typed anew."""
    song = song_at(show, song_id)
    was = next(line for line in song.lyrics if line.id == line_id)
    usual: dict[str, Any] = {"bar": None, "beat": 1, "seconds": None}
    fields = usual | parse_line(text, bool(song.tempo))
    if fields["text"] != was.text:
        fields["words_s"] = []
    now = LyricLine.model_validate(stored(was) | fields)
    freed, said = _freed(show, song, {line.id: line for line in song.lyrics} | {line_id: now})
    at = ("items", song.id, "lyrics", line_id)
    return Together(changes=(*freed, SetFields(at=at, fields=fields))), said


def remove_line(show: Show, song_id: str, line_id: str) -> tuple[Change, str]:
    """(the change, what it does to cues on its words) of a line taken out."""
    song = song_at(show, song_id)
    freed, said = _freed(show, song, {line.id: line for line in song.lyrics if line.id != line_id})
    return Together(changes=(*freed, Take(at=("items", song.id, "lyrics"), key=line_id))), said


def move_line(song: Song, line_id: str, by: int) -> Change:
    """A line up or down."""
    at = next(n for n, line in enumerate(song.lyrics) if line.id == line_id)
    to = max(0, min(len(song.lyrics) - 1, at + by))
    return Move(at=("items", song.id, "lyrics"), key=line_id, index=to)


def replace_lyrics(show: Show, song: Song, lines: Sequence[dict[str, Any]]) -> tuple[Change, str]:
    """(the change, what it does to cues on words) of lyrics in place of a song's own.

    A line with the words of one that was there keeps its id, so that cues stay on it.

    Args:
        lines: as in the document; without an id, or with one that stays.
    """
    old, new = [_key(line.text) for line in song.lyrics], [_key(str(line["text"])) for line in lines]
    ids: dict[int, str] = {}
    for a, b, size in SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks():
        ids |= {b + n: song.lyrics[a + n].id for n in range(size)}
    own = {n: str(line["id"]) for n, line in enumerate(lines) if "id" in line}
    # A line that is matched by its words gives way where another row brings its id.
    ids = {n: name for n, name in ids.items() if name not in own.values()} | own
    taken = {line.id for line in song.lyrics} | set(own.values())
    parts = []
    for n, line in enumerate(lines):
        if n not in ids:
            ids[n] = free_id(f"line-{n + 1}", taken)
            taken.add(ids[n])
        parts.append({"id": ids[n]} | dict(line))
    freed, said = _freed(show, song, {p["id"]: LyricLine.model_validate(p) for p in parts})
    return Together(changes=(*freed, SetFields(at=("items", song.id), fields={"lyrics": parts}))), said


def _key(text: str) -> str:
    return " ".join(text.casefold().split())


def _freed(show: Show, song: Song, after: dict[str, LyricLine]) -> tuple[tuple[Change, ...], str]:
    """Cues whose word is not there ``after``, each at its own instant; those whose word is elsewhere in its
    line stay on it."""
    before = {line.id: line for line in song.lyrics}
    changes: list[Change] = []
    lost = []
    for planned in compile_item(song, show.timecode_rate).cues:
        cue, anchor = planned.cue, planned.cue.anchor
        if not isinstance(anchor, WordAnchor):
            continue
        word = _word_after(before[anchor.line], anchor.word, after.get(anchor.line))
        if word == anchor.word:
            continue
        there: dict[str, Any] = stored(anchor) | {"word": word}
        if word is None:
            there = {"at": "time", "seconds": to_json(planned.at_s)}
            lost.append(
                f"{cue_name(show, cue)} (was on “{bare_word(before[anchor.line].words[anchor.word - 1])}”)"
            )
        changes.append(SetFields(at=cue_path(song.id, cue.id), fields={"anchor": there}))
    if not lost:
        return tuple(changes), ""
    verb = "loses its word and stays" if len(lost) == 1 else "lose their words and stay"
    return tuple(changes), f"{', '.join(lost)} {verb} at {'its' if len(lost) == 1 else 'their'} time"


def _word_after(was: LyricLine, word: int, now: LyricLine | None) -> int | None:
    if now is None:
        return None
    if len(now.words) == len(was.words):
        return word  # a slip was mended
    said = bare_word(was.words[word - 1]).casefold()
    same = [n for n, one in enumerate(was.words, 1) if bare_word(one).casefold() == said]
    there = [n for n, one in enumerate(now.words, 1) if bare_word(one).casefold() == said]
    return there[min(same.index(word), len(there) - 1)] if there else None
