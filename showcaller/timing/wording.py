"""The words a house calls in: a small file for each language, in ``wordings/``.

The words are common practice, no source; how numbers are read was made with the num2words library, German
compounds taken apart, since each part takes the time of a word.
"""

import json
import re
from functools import lru_cache
from importlib.resources import files
from typing import get_args

from showcaller.model import Language
from showcaller.values import Struct

_TOKEN = re.compile(r"\d+(?:\.\d+)?|[^\W\d_]+(?:['’][^\W\d_]+)*")


class Pattern(Struct, frozen=True):
    """What a language says. ``go`` is the last word of a go: it lands on the cue's instant.

    ``oh`` is said for the nought in 304 where numbers are called out in pairs of figures, as in English.
    """

    standby: str
    warning: str
    go: str
    and_: str
    to: str
    hundred: str
    thousand: str
    point: str
    below_a_hundred: tuple[str, ...]
    oh: str | None = None

    def number_words(self, number: str) -> str:
        """A number of up to six figures before the point, read out; decimals figure by figure.

        Raises:
            ValueError: not a number in plain figures.
        """
        if not re.fullmatch(r"\d{1,6}(\.\d+)?", number, re.ASCII):
            raise ValueError(f"{number!r} cannot be read out; give up to six figures, such as 64 or 12.5")
        whole, _, decimals = number.partition(".")
        words = self._whole(int(whole))
        if decimals:
            words += f" {self.point} " + " ".join(self.below_a_hundred[int(figure)] for figure in decimals)
        return words

    def _whole(self, number: int) -> str:
        small = self.below_a_hundred
        if number < 100:
            return small[number]
        if number % 1000 == 0 or (self.oh is None and number >= 1000):
            above, below = divmod(number, 1000)
            rest = f" {self._whole(below)}" if below else ""
            return f"{self._many(above)}{self.thousand}{rest}"
        above, below = divmod(number, 100)
        if below == 0:
            return f"{self._many(above)}{self.hundred}"
        if self.oh is None:  # not in pairs: "zwei hundert fünf und dreißig"
            return f"{self._many(above)}{self.hundred} {small[below]}"
        return f"{self._whole(above)} {small[below] if below >= 10 else f'{self.oh} {small[below]}'}"

    def _many(self, number: int) -> str:
        """How many hundreds or thousands: only English says that it is one."""
        return "" if number == 1 and self.oh is None else f"{self._whole(number)} "

    def word_count(self, text: str) -> int:
        """Words in ``text`` as it is spoken: figures read out, hyphens and punctuation silent."""
        count = 0
        for token in _TOKEN.findall(text):
            if token[0].isdigit() and token.isascii() and len(token.partition(".")[0]) <= 6:
                count += len(self.number_words(token).split())
            elif token[0].isdigit():
                count += len(token)  # too long to be read as one number: figure by figure
            else:
                count += 1
        return count


@lru_cache(maxsize=8)
def pattern(language: Language = "english") -> Pattern:
    """A language's words."""
    text = (files(__package__) / "wordings" / f"{language}.json").read_text(encoding="utf-8")
    body = json.loads(text)
    body["and_"] = body.pop("and")
    body["below_a_hundred"] = tuple(body["below_a_hundred"])
    return Pattern(**body)


@lru_cache(maxsize=1)
def go_words() -> frozenset[str]:
    """The word that fires, in every language."""
    return frozenset(pattern(language).go for language in get_args(Language))
