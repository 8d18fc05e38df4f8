"""Lyrics out of text: LRC files with their time stamps, and plain text with bars in brackets.

LRC is common practice, no source: ``[mm:ss.xx]`` before the words, several stamps where a line comes again,
``[offset:ms]`` (above zero: sooner), ``<mm:ss.xx>`` before each word, other tags of the file's own.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from showcaller.editing.importing.understood import FileError, Remark
from showcaller.model.clockwords import m_ss_part
from showcaller.model.lyrics import MOST_LINES
from showcaller.model.quantities import LONGEST_S, to_json

MOST_BYTES = 1_000_000
"""Lyrics of hours are some hundred kilobytes."""
LONGEST_LINE = 400
_STAMP = re.compile(r"\s*\[(\d{1,3}):([0-5]?\d)(?:[.:](\d{1,3}))?\]")
_WORD_STAMP = re.compile(r"<(\d{1,3}):([0-5]?\d)(?:[.:](\d{1,3}))?>")
_TAG = re.compile(r"^\s*\[\s*([A-Za-z#]\w*)\s*:(.*)\]\s*$")
_MARK = re.compile(r"^\s*\[\s*(?:bar\s*)?(\d{1,4})(?:\s*/\s*(\d{1,2}(?:\.\d{1,3})?))?\s*\]", re.IGNORECASE)
_HEADING = re.compile(r"^\s*\[[^\]]*\]\s*:?\s*$")
_LAST_BAR = 9999


@dataclass(slots=True)
class FoundLyrics:
    """Lines as in the document, without ids, in order; what was wrong or doubtful by row of the file."""

    lines: list[dict[str, Any]] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)


def text_of(data: bytes) -> str:
    """A text file's text: by its byte order mark, as UTF-8, else as Western European (Windows-1252)."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def read_lrc(text: str, begins_s: Fraction = Fraction(0)) -> FoundLyrics:
    """The lines of an LRC file in the order of their times.

    Args:
        begins_s: the second of the recording at which the item starts.

    Raises:
        FileError: no line of it has a time, or there are more than 2000.
    """
    found = FoundLyrics()
    timed: list[tuple[Fraction, int, dict[str, Any]]] = []
    offset_s, last_s = _offset(text, found), Fraction(0)
    any_time = False
    for row, line in enumerate(text.splitlines(), 1):
        stamps, words = _stamps(line)
        if not stamps and (_TAG.match(line) or not line.strip()):
            continue
        plain, words_s = _word_times(words, stamps[0] if stamps else None, row, found)
        any_time = any_time or bool(stamps)
        if not plain or _too_long(plain, row, found):  # a stamp alone: the line before it is over
            continue
        part: dict[str, Any] = {"text": plain}
        if not stamps:
            timed.append((last_s, row, part))
            continue
        for at_s in stamps:
            seconds = at_s - offset_s - begins_s
            if seconds < 0:
                sentence = f"'{_short(plain)}' is before the item begins; it is put at its beginning"
                found.remarks.append(Remark(row, "", sentence, wrong=False))
            seconds = min(max(Fraction(0), seconds), Fraction(LONGEST_S))
            timed.append((seconds, row, part | {"seconds": to_json(seconds)} | words_s))
        last_s = timed[-1][0]
    if not any_time:
        raise FileError("no line of it has a time such as [01:23.45] before it; is it an LRC file?")
    found.lines = [part for _, _, part in sorted(timed, key=lambda one: one[:2])]
    return _enough(found)


def _offset(text: str, found: FoundLyrics) -> Fraction:
    for row, line in enumerate(text.splitlines(), 1):
        tag = _TAG.match(line)
        if tag and tag.group(1).lower() == "offset":
            number = tag.group(2).strip()
            if re.fullmatch(r"[+-]?\d{1,9}", number):
                return Fraction(int(number), 1000)
            sentence = f"the offset '{_short(number)}' is not a number of milliseconds; it is left out"
            found.remarks.append(Remark(row, "", sentence, wrong=False))
    return Fraction(0)


def _stamps(line: str) -> tuple[list[Fraction], str]:
    """The stamps at a line's beginning, in seconds, and what follows them."""
    stamps, at = [], 0
    while stamp := _STAMP.match(line, at):
        stamps.append(_time(stamp))
        at = stamp.end()
    return stamps, line[at:]


def _time(stamp: re.Match[str]) -> Fraction:
    minutes, seconds, part = stamp.groups()
    return Fraction(int(minutes) * 60 + int(seconds)) + Fraction(int(part or 0), 10 ** len(part or ""))


def _word_times(
    words: str, begins_s: Fraction | None, row: int, found: FoundLyrics
) -> tuple[str, dict[str, Any]]:
    """The words without their stamps, and ``words_s`` if every word has one."""
    stamps = list(_WORD_STAMP.finditer(words))
    if not stamps:
        return " ".join(words.split()), {}
    pieces = [(begins_s, words[: stamps[0].start()])]
    ends = [*(s.start() for s in stamps[1:]), len(words)]
    pieces += [(_time(s), words[s.end() : end]) for s, end in zip(stamps, ends, strict=True)]
    times: dict[int, Fraction] = {}
    plain = ""
    for at_s, piece in pieces:
        if piece.strip() and at_s is not None:
            times[len(plain) + len(piece) - len(piece.lstrip())] = at_s
        plain += piece
    own = [times.get(word.start()) for word in re.finditer(r"\S+", plain)]
    known = [at_s for at_s in own if at_s is not None]
    simple = begins_s is not None and len(known) == len(own) and known == sorted(known)
    if not simple or begins_s is None or not known or known[0] < begins_s:
        sentence = "its times for words are not one before each word, in order; they are left out"
        found.remarks.append(Remark(row, "", sentence, wrong=False, harmless=True))
        return " ".join(plain.split()), {}
    return " ".join(plain.split()), {"words_s": [to_json(at_s - begins_s) for at_s in known]}


def read_plain(text: str, has_bars: bool) -> FoundLyrics:
    """The lines of a plain text.

    ``[69]`` or ``[69/3]`` before one, or alone on the line above it, is its bar; ``[1:23]`` its time; a line
    without lies between its neighbours. Other lines in brackets are headings.

    Args:
        has_bars: whether the song has a tempo; without one bars are left out.

    Raises:
        FileError: there are no words, or more than 2000 lines.
    """
    found = FoundLyrics()
    place: dict[str, Any] = {}
    for row, line in enumerate(text.splitlines(), 1):
        own, rest = _mark(line, row, has_bars, found)
        place = own or place
        words = " ".join(rest.split())
        if words and _HEADING.match(rest):
            found.remarks.append(Remark(row, "", f"'{_short(words)}' is taken for a heading", False, True))
        elif words and not _too_long(words, row, found):
            found.lines.append({"text": words} | place)
            place = {}
    if not found.lines:
        raise FileError("there are no words in it")
    return _enough(found)


def _mark(line: str, row: int, has_bars: bool, found: FoundLyrics) -> tuple[dict[str, Any], str]:
    """A line's place and its words."""
    stamps, rest = _stamps(line)
    if stamps:
        return {"seconds": to_json(min(stamps[0], Fraction(LONGEST_S)))}, rest
    mark = _MARK.match(line)
    if not mark:
        return {}, line
    bar, beat, rest = int(mark.group(1)), Fraction(mark.group(2) or 1), line[mark.end() :]
    if not 1 <= bar <= _LAST_BAR or beat < 1:
        found.remarks.append(Remark(row, "", f"{mark.group().strip()} is no bar; it is left out", False))
        return {}, rest
    if not has_bars:
        sentence = f"{mark.group().strip()} is a bar, and the song has no tempo; the line lies between others"
        found.remarks.append(Remark(row, "", sentence, wrong=False))
        return {}, rest
    return {"bar": bar} | ({"beat": to_json(beat)} if beat != 1 else {}), rest


def _too_long(words: str, row: int, found: FoundLyrics) -> bool:
    if len(words) > LONGEST_LINE:
        sentence = f"the line has {len(words)} characters; {LONGEST_LINE} is the limit, so make it two"
        found.remarks.append(Remark(row, "", sentence))
    return len(words) > LONGEST_LINE


def _enough(found: FoundLyrics) -> FoundLyrics:
    if len(found.lines) > MOST_LINES:
        raise FileError(f"it has {len(found.lines):,} lines; lyrics of up to {MOST_LINES:,} are taken")
    return found


def _short(words: str) -> str:
    return words if len(words) <= 40 else words[:39] + "…"


def rows_of(lines: list[dict[str, Any]]) -> Iterator[tuple[str, ...]]:
    """What each line becomes, for people: its place and its words."""
    for line in lines:
        beat = f"/{line['beat']}" if "beat" in line else ""
        place = f"bar {line['bar']}{beat}" if "bar" in line else ""
        if "seconds" in line:
            place = m_ss_part(float(Fraction(str(line["seconds"]))), 2)
        yield place or "between", line["text"], "each word has its time" if line.get("words_s") else ""
