"""Which typeface has which letters: the desk's own, those that come with showcaller, then the machine's.

Latin, Greek and Cyrillic are Inter; Arabic, Hebrew and Thai Noto Sans; Korean NanumSquare; Chinese and
Japanese Droid Sans Fallback, which has one weight. What none of them has is looked for among the TrueType
files of the machine (no other outlines can be put into the PDF). A letter that is nowhere, or that would have
to be joined in a way not done here, is named in words: never an empty box.
"""

import os
import sys
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from reportlab.pdfbase.pdfmetrics import getFont, registerFont, registerFontFamily
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from showcaller.resources import resource

REGULAR, BOLD = "Inter", "Inter-SemiBold"

_OTHERS = (
    ("Noto Sans Hebrew", "NotoSansHebrew-Regular.ttf", "NotoSansHebrew-Bold.ttf"),
    ("Noto Sans Arabic", "NotoSansArabic-Regular.ttf", "NotoSansArabic-Bold.ttf"),
    ("Noto Sans Thai", "NotoSansThai-Regular.ttf", "NotoSansThai-Bold.ttf"),
    ("Droid Sans Fallback", "DroidSansFallbackFull.ttf", "DroidSansFallbackFull.ttf"),
    # After it: it says it has Chinese, and draws nothing.
    ("NanumSquare", "NanumSquareR.ttf", "NanumSquareB.ttf"),
)
_OWN = {
    REGULAR: ((REGULAR, "Inter-Regular.ttf"), *((name, file) for name, file, _ in _OTHERS)),
    BOLD: ((BOLD, "Inter-SemiBold.ttf"), *((f"{name} bold", file) for name, _, file in _OTHERS)),
}
_JOINED = ((0x0900, 0x0DFF), (0x1000, 0x109F), (0x1780, 0x17FF), (0x1800, 0x18AF))
"""Scripts of India, Burmese, Khmer, Mongolian: letters one beside the other are not what is read."""
_WIDE = (
    "dejavusans", "freesans", "notosanssymbols", "notosansmath", "notosansgeorgian", "notosansarmenian",
    "notosans-", "arialuni", "arial", "segoeui", "seguisym", "tahoma", "lucidasansunicode", "symbola",
    "unifont",
)  # fmt: skip
"""How the files begin that have many letters: only these are looked into. A machine may have a thousand
others, each of which takes time to read, and memory for as long as the program runs."""
_MOST_FILES = 24


@lru_cache(maxsize=1)
def fonts() -> tuple[str, str]:
    """The names of the regular and the bold typeface, known to the PDF library from now on."""
    for name in (REGULAR, BOLD):
        _letters(*_OWN[name][0])
    registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)
    return REGULAR, BOLD


@lru_cache(maxsize=32768)
def typeface(letter: str, like: str) -> str | None:
    """The name of a typeface that has this letter, of the weight of ``like``; None if there is none here."""
    if any(first <= ord(letter) <= last for first, last in _JOINED):
        return None
    for name, file in _OWN[BOLD if like == BOLD else REGULAR]:
        if ord(letter) in _letters(name, file):
            return name
    for path in _machines_files():
        if ord(letter) in _letters(f"{path.stem} of this machine", str(path)):
            return f"{path.stem} of this machine"
    return None


def has(name: str, letter: str) -> bool:
    """Whether a typeface that is known to the PDF library has this letter."""
    font = getFont(name)
    return isinstance(font, TTFont) and ord(letter) in font.face.charToGlyph


@lru_cache(maxsize=4096)
def in_words(letter: str) -> str:
    """What stands for a letter that no typeface has: a sign by its name, a letter by its script's."""
    name = unicodedata.name(letter, "")
    if not name or unicodedata.category(letter) in ("Cf", "Cc", "Mn", "Me"):
        return ""
    if unicodedata.category(letter)[0] in "SP":
        return f"[{name.lower()}]"
    return f"[{name.split()[0].title()}]"


@lru_cache(maxsize=1024)
def _letters(name: str, file: str) -> frozenset[int]:
    """The letters of a file, known to the PDF library by this name; none if it cannot be put into a PDF."""
    path = Path(file)
    try:
        font = TTFont(name, str(path if path.is_absolute() else resource("fonts", file)))
    except (TTFError, OSError, ValueError, KeyError, IndexError, AssertionError):
        return frozenset()
    registerFont(font)
    return frozenset(font.face.charToGlyph)


@lru_cache(maxsize=1)
def _machines_files() -> tuple[Path, ...]:
    """TrueType files of the machine that have many letters, the plain ones first."""
    found = [path for place in _places() if place.is_dir() for path in place.rglob("*.tt[fc]")]
    wide = [(rank, path) for path in found if (rank := _rank(path.name.lower())) is not None]
    return tuple(path for _, path in sorted(wide))[:_MOST_FILES]


def _rank(name: str) -> tuple[bool, int] | None:
    """Those without a weight or a slant first, in the order of the list; None for one that is not in it."""
    at = next((n for n, begins in enumerate(_WIDE) if name.startswith(begins)), None)
    other = any(word in name for word in ("bold", "italic", "oblique", "light", "thin", "black", "mono"))
    return None if at is None else (other, at)


def _places() -> Iterator[Path]:
    """Where systems keep their typefaces."""
    if sys.platform == "win32":
        yield Path(os.environ.get("WINDIR", r"C:\Windows")) / "Fonts"
    elif sys.platform == "darwin":
        yield from (Path("/System/Library/Fonts"), Path("/Library/Fonts"), Path.home() / "Library/Fonts")
    else:
        yield from (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"))
        yield from (Path.home() / ".local/share/fonts", Path.home() / ".fonts")
