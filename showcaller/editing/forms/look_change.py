"""How a look comes, in words: one grammar for the book, the wall and spreadsheets.

``gulls wide, mix 8, slow end`` or without the commas; ``over`` and ``beats`` may be said: ``mix over 8
beats``.
"""

import contextlib
import re
from typing import Any

from showcaller.editing.changes import ChangeError
from showcaller.editing.forms.field import one_of
from showcaller.model import LookChange, Show

WAYS = ("cut", "mix", "move", "wipe")
EASES = ("even", "slow start", "slow end", "slow both")
USUAL_EASE = "slow both"
MOST_BEATS = 256
HOW_HINT = "cut; or mix, move or wipe over so many beats (mix 8); then even, slow start or slow end"


def how_text(change: LookChange) -> str:
    """How a look comes, as it can be typed: ``mix 8, slow end``; ``cut``."""
    beats = f" {change.beats:g}" if change.beats else ""
    ease = f", {change.ease}" if change.ease != USUAL_EASE else ""
    return f"{change.by}{beats}{ease}"


def parse_how(text: str, beats_needed: bool = False) -> dict[str, Any]:
    """``by``, ``beats`` and ``ease`` from words. What is usual is left out of what is returned.

    Args:
        text: such as ``mix over 8 beats slow end``; empty is a cut.
        beats_needed: whether anything but a cut must say over how many beats.

    Raises:
        ChangeError: a word that means nothing here, or beats out of range.
    """
    rest = " ".join(text.lower().replace(",", " ").split())
    if not rest:
        return {}
    by, _, rest = rest.partition(" ")
    by = one_of(by, [(w, ()) for w in WAYS], "how the look changes")
    ease = next((e for e in EASES if re.search(rf"(^| ){e}$", rest)), None)
    if ease is not None:
        rest = rest[: len(rest) - len(ease)].strip()
    words = [w for w in rest.split() if w not in ("over", "beat", "beats")]
    beats = _beats(words, by)
    if by != "cut" and beats == 0 and beats_needed:
        raise ChangeError(f"say over how many beats: {by} 8")
    found = {"by": by, "beats": beats, "ease": ease or USUAL_EASE}
    return {k: v for k, v in found.items() if v not in ("cut", 0.0, USUAL_EASE)}


def _beats(words: list[str], by: str) -> float:
    if not words:
        return 0.0
    if len(words) > 1 or not re.fullmatch(r"\d{1,6}(\.\d{1,6})?", words[0]):
        wrong = " ".join(words)
        raise ChangeError(
            f"look: '{wrong}' is not a number of beats or an ease; give '{by} 2' or '{by} 2 slow end'"
        )
    beats = float(words[0])
    if beats > MOST_BEATS:
        raise ChangeError(f"look: {beats:g} beats are too long; {MOST_BEATS} at most")
    return beats


def look_change_text(show: Show, change: LookChange | None) -> str:
    """A cue's change of look as it can be typed: ``gulls wide, mix 8``; empty for none."""
    if change is None:
        return ""
    name = _name(show, change.look)
    how = how_text(change)
    return name if how == "cut" else f"{name}, {how}"


def _name(show: Show, look: str) -> str:
    """The look's name; its id where two looks have the name, so that what is shown can be typed."""
    name = next(k.name for k in show.looks if k.id == look)
    several = sum(k.name.lower() == name.lower() for k in show.looks) > 1
    return look if several or "," in name else name


def parse_look_change(show: Show, text: str, before: LookChange | None = None) -> dict[str, Any] | None:
    """A change of look from words; None for nothing. What cannot be typed (layers that are otherwise in this
    place) stays as it was while the look stays.

    Args:
        show: whose looks are meant.
        text: such as ``gulls wide, mix 2``; the comma may be left out.
        before: what stood there.

    Raises:
        ChangeError: no such look, two of that name, or not a way to change.
    """
    if not text.strip():
        return None
    name, how = _split(show, text.strip())
    look = one_of(name, [(k.id, (k.name,)) for k in show.looks], "look")
    found: dict[str, Any] = {"look": look, **parse_how(how)}
    if before is not None and before.look == look and before.overrides:
        found["overrides"] = [o.model_dump(mode="json", exclude_defaults=True) for o in before.overrides]
    return found


def _split(show: Show, text: str) -> tuple[str, str]:
    """The look's name and how it comes. The longest name counts behind which the rest can be read, then a
    comma, then a word that can only begin how it comes."""
    known = sorted({n for k in show.looks for n in (k.id, k.name)}, key=len, reverse=True)
    for name in known:
        rest = text[len(name) :]
        if text.lower().startswith(name.lower()) and (not rest or rest[0] in ", "):
            with contextlib.suppress(ChangeError):
                parse_how(rest.lstrip(", "))
                return name, rest.lstrip(", ")
    if "," in text:
        name, _, how = text.partition(",")
        return name, how
    begins = re.search(rf"(?i) ({'|'.join(WAYS)})\b", text)
    return (text, "") if begins is None else (text[: begins.start()], text[begins.start() :])
