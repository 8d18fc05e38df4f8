"""Text as it is written: letters joined, from the right where they run so, in a typeface that has them.

The order of letters is that of the Unicode Bidirectional Algorithm (UAX #9, by python-bidi), a line at a time
once it is known what stands in a line; Arabic letters take the form that their neighbours ask for
(arabic-reshaper, presentation forms).
"""

import re
import unicodedata
from collections.abc import Callable
from functools import lru_cache
from typing import Any, NamedTuple
from xml.sax.saxutils import escape, unescape

from arabic_reshaper import ArabicReshaper
from bidi.algorithm import get_display
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph as PlainParagraph

from showcaller.paper.typefaces import BOLD, fonts, has, in_words, typeface

_TAG = re.compile(r"<[^>]*>")
_BREAK = re.compile(r"<br\s*/?>")
"""Of the tags, the one that ends a line."""
_OPENS, _CLOSES = re.compile(r"<(font|b)\b"), re.compile(r"</(font|b)>")
_NAMED = re.compile(r"""name=['"]([^'"]+)""")
_WORD = re.compile(r"\s*\S+|\s+$")
_reshape: Callable[[str], str] = ArabicReshaper({"delete_harakat": False, "support_ligatures": False}).reshape


def runs(text: str, font: str) -> list[tuple[str, str]]:
    """(typeface, text) in the order of the text; ``font`` wherever it has the letters."""
    fonts()
    found: list[tuple[str, str]] = []
    for letter in unicodedata.normalize("NFC", text):
        if found and unicodedata.combining(letter) and has(found[-1][0], letter):
            found[-1] = (found[-1][0], found[-1][1] + letter)  # a mark stays with its letter
            continue
        name = typeface(letter, font)
        written = letter if name is not None else in_words(letter)
        name = name or font
        if found and found[-1][0] == name:
            again = len(written) > 1 and found[-1][1].rstrip().endswith(written)  # a script is named once
            found[-1] = (name, found[-1][1] + ("" if again else written))
        elif written:
            found.append((name, written))
    return found


def in_order(text: str, right_to_left: bool | None = None) -> str:
    """A line's letters from left to right as they stand; it runs as its first letter does, or as told."""
    if not turns(text):
        return text
    if right_to_left is None:
        right_to_left = _begins_right(text)
    return str(get_display(_reshape(text), base_dir="R" if right_to_left else "L"))


def width(text: str, font: str, size: float) -> float:
    """How wide a line is, points."""
    return sum(stringWidth(part, name, size) for name, part in runs(in_order(text), font))


def write(
    canvas: Canvas, x: float, y: float, text: str, font: str, size: float, from_right: bool = False
) -> None:
    """A line on the page, from ``x`` to the right, or ending there."""
    if from_right:
        x -= width(text, font, size)
    for name, part in runs(in_order(text), font):
        canvas.setFont(name, size)
        canvas.drawString(x, y, part)
        x += stringWidth(part, name, size)


def turns(text: str) -> bool:
    """Whether anything in it runs from right to left."""
    return not text.isascii() and any(
        unicodedata.bidirectional(c) in ("R", "AL", "RLE", "RLO", "RLI") for c in text
    )


class Paragraph(PlainParagraph):
    """The library's paragraph of marked-up text, for every script.

    Where something runs from right to left its lines are broken here, in the order in which they are read.
    They begin at the left all the same, as everything on our papers does.
    """

    def __init__(self, text: str | None, style: ParagraphStyle, **of_a_part: Any) -> None:
        """``text`` is marked up: ``&``, ``<`` and ``>`` of what people typed are escaped. None for one of the
        parts that the library makes of a paragraph at the end of a page (``of_a_part``)."""
        self._read = text if text is not None and turns(text) else None
        dressed = text if text is None else _dressed(text, style.fontName)
        super().__init__(dressed, style, **of_a_part)  # type: ignore[arg-type]

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803 - the library's
        if self._read is not None:
            style = self.style
            room = availWidth - style.leftIndent - style.rightIndent
            broken = _lines(self._read, style.fontName, style.fontSize, room)
            # What the library's own constructor does with its text.
            self._setup(broken, style, None, None, _as_it_is)  # type: ignore[attr-defined]
        size: tuple[float, float] = super().wrap(availWidth, availHeight)
        return size


def _as_it_is(text: str) -> str:
    return text


def _begins_right(text: str) -> bool:
    """Whether it runs from right to left: its first letter or figure does. "2 ליל" is a number and a name."""
    return next(
        (way in ("R", "AL") for way in map(unicodedata.bidirectional, text) if way in ("L", "R", "AL", "EN")),
        False,
    )


class _Stretch(NamedTuple):
    """What stands between two tags: the tags before it, the text, its typeface."""

    tags: str
    plain: str
    font: str


def _stretches(text: str, font: str) -> list[_Stretch]:
    """Marked-up text in its stretches; the last may be empty but for its tags."""
    found: list[_Stretch] = []
    fonts_in = [font]
    at, tags = 0, ""
    for tag in [*_TAG.finditer(text), None]:
        plain = unescape(text[at : tag.start() if tag else len(text)])
        if plain or tag is None:
            found.append(_Stretch(tags, plain, fonts_in[-1]))
            tags = ""
        if tag is None:
            break
        tags, at = tags + tag.group(), tag.end()
        if _OPENS.match(tag.group()):
            named = _NAMED.search(tag.group())
            bold = BOLD if tag.group() == "<b>" else fonts_in[-1]
            fonts_in.append(named.group(1) if named else bold)
        elif _CLOSES.match(tag.group()) and len(fonts_in) > 1:
            fonts_in.pop()
    return found


@lru_cache(maxsize=4096)
def _dressed(text: str, font: str) -> str:
    """Marked-up text with the typeface of each part named where it is not that of its stretch."""
    if text.isascii():
        return text
    return "".join(part.tags + _marked_up(part.plain, part.font) for part in _stretches(text, font))


def _marked_up(plain: str, font: str) -> str:
    return "".join(
        escape(part) if name == font else f'<font name="{name}">{escape(part)}</font>'
        for name, part in runs(plain, font)
    )


def _lines(text: str, font: str, size: float, room: float) -> str:
    """Marked-up text broken into lines no wider than ``room`` points, each in the order in which it stands.

    What stands between two tags is put in order by itself; tags open and close where they did. Text that
    begins from the right loses its tags: they would have to stand in the other order.
    """
    right = _begins_right(unescape(_TAG.sub("", text)))
    if right:
        text = "<br/>".join(_TAG.sub("", part) for part in _BREAK.split(text))
    written: list[str] = []
    used = 0.0
    for stretch in _stretches(text, font):
        written.append(stretch.tags)
        used = 0.0 if _BREAK.search(stretch.tags) else used
        line: list[str] = []
        for word in _WORD.findall(stretch.plain):
            takes = width(word, stretch.font, size)
            if used and used + takes > room:
                written += [_marked_up(in_order("".join(line), right), stretch.font), "<br/>"]
                line, used = [], 0.0
                word = word.lstrip()  # noqa: PLW2901
            line.append(word)
            used += takes
        written.append(_marked_up(in_order("".join(line), right), stretch.font))
    return "".join(written)
