"""What a text should have looked like, in words: nobody is shown a regular expression."""

from collections.abc import Mapping

EXAMPLES: Mapping[str, str] = {
    r"^([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?$": "a time of day; give one such as 19:30",
    r"^[A-Za-z][A-Za-z0-9_+/-]*$": "a time zone; give its name such as Europe/Berlin",
    r"^/[^\s#*,?\[\]]+$": "an OSC address with its fields; give one such as /{input}/place",
    r"^/[^\s#*,?\[\]{}]+$": "an OSC address; give one such as /wall/look",
    r"^[0-9]+(\.[0-9]+)*$": "a Show Control number; give one such as 12 or 12.5",
    r"^([0-7][0-9A-Fa-f]\s*)+$": "System Exclusive data; give hexadecimal bytes up to 7F such as 7E 7F 06 01",
    r"^[a-z0-9][a-z0-9_.-]{0,63}$": "an id; give up to 64 small letters, digits and - _ . such as chorus-2",
    r"^\d\d:[0-5]\d:[0-5]\d[:;]\d\d$": "a timecode; give hh:mm:ss:ff such as 01:00:12:10",
    r"^([1-9]|[1-5][0-9]|6[0-4])/(1|2|4|8|16|32|64)$": "a time signature; give one such as 4/4 or 7/8",
    r"^[1-9]\d{0,6}(/[1-9]\d{0,6})?$": "frames a second; give a number such as 25 or 30000/1001",
    r"^\d+-[0-9a-f]{16}$": "a file's mark; read the file again, or give one such as 1024-0123456789abcdef",
    r"^\d{4}-\d{2}-\d{2}$": "a day; give year, month and day such as 2026-08-01",
    r"^#[0-9A-Fa-f]{6}$": "a colour; give red, green and blue such as #FFB347",
}
"""By the pattern of the model's own field; every pattern has its words."""
MORE_WORDS = "what belongs here"


def not_words(value: object, pattern: str) -> str:
    """One sentence on a text that has not the form of its field."""
    shown = str(value)
    shown = shown if len(shown) <= 40 else shown[:39] + "…"
    return f"'{shown}' is not {EXAMPLES.get(pattern, MORE_WORDS)}"
