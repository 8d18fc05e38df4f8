"""A song's words, line by line: where each is sung, by bar or by the clock, or between its neighbours."""

from fractions import Fraction
from typing import Annotated, Self

from pydantic import Field, model_validator

from showcaller.model.base import Id, Part, Text
from showcaller.model.quantities import Beat, Seconds
from showcaller.model.tempo import BarNumber

MOST_LINES = 2000
"""Lines of one song: an opera's act has fewer."""


class LyricLine(Part):
    """A line as it is sung. It begins at a bar and beat, or at seconds into the item; with neither it lies
    between its neighbours, evenly.

    ``words_s``, if known, is when each word comes, in seconds after the line's beginning: one for each word,
    none earlier than the one before it.
    """

    id: Id
    text: Text
    bar: BarNumber | None = None
    beat: Beat = Fraction(1)
    seconds: Seconds | None = None
    words_s: tuple[Seconds, ...] = ()

    @property
    def words(self) -> tuple[str, ...]:
        """Its words, split at spaces; at least one."""
        return tuple(self.text.split()) or (self.text,)

    @model_validator(mode="after")
    def _one_place(self) -> Self:
        if self.bar is not None and self.seconds is not None:
            raise ValueError(f"'{self.text}' is given a bar and seconds; give one of them")
        if self.bar is None and self.beat != 1:
            raise ValueError(f"'{self.text}' is given a beat and no bar; give the bar too")
        if self.words_s and len(self.words_s) != len(self.words):
            raise ValueError(
                f"'{self.text}' has {len(self.words)} words and {len(self.words_s)} times; give one for each"
            )
        if any(b < a for a, b in zip(self.words_s, self.words_s[1:], strict=False)):
            raise ValueError(f"'{self.text}': a word's time is before that of the word before it")
        return self


Lyrics = Annotated[tuple[LyricLine, ...], Field(max_length=MOST_LINES)]
