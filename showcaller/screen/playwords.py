"""How a clip is played, as people type it: ``from 0:04 at 150 %, in 8 bars, hold, anew``. And back. Pure."""

import re

from pydantic import ValidationError

from showcaller.model.media import Playback
from showcaller.model.quantities import parse_seconds
from showcaller.screen.words import WordsError

PLAYS_HINT = "from 0:04, at 150 %, in 8 bars, loop or hold, anew or runs on; or as it is"


def plays_text(plays: Playback | None) -> str:
    """What is not as it comes; ``as it is`` where nothing is."""
    if plays is None:
        return "as it is"
    words = [f"from {plays.in_s:g}"] if plays.in_s else []
    if plays.fit_bars is not None:
        words.append(f"in {plays.fit_bars:g} bars")
    elif plays.speed != 1:
        words.append(f"at {plays.speed * 100:g} %")
    words += [plays.at_end] if plays.at_end is not None else []
    words += [plays.begins] if plays.begins != "if new" else []
    return ", ".join(words) or "as it is"


def plays_from(text: str) -> Playback | None:
    """How a clip is played that was typed; None for as it is.

    Raises:
        WordsError: a part means nothing, or a number is out of range.
    """
    fields: dict[str, object] = {}
    for part in (p.strip().lower() for p in re.split(r",\s|;|·|,$", text)):
        number = re.fullmatch(r"(at|in)\s*(\d+(?:[.,]\d+)?)\s*(%|bars?)?", part)
        if part in ("", "as it is", "none"):
            continue
        if part.startswith("from "):
            try:
                fields["in_s"] = float(parse_seconds(part[5:].removesuffix("s").strip()))
            except ValueError:
                raise WordsError(
                    f"clip plays, from: '{part[5:]}' is not a time; give seconds (4) or m:ss (0:04)"
                ) from None
        elif number is not None and number[1] == "at" and number[3] in ("%", None):
            fields["speed"] = float(number[2].replace(",", ".")) / (100 if number[3] else 1)
        elif number is not None and number[1] == "in" and number[3] not in ("%", None):
            fields["fit_bars"] = float(number[2].replace(",", "."))
        elif part in ("loop", "hold"):
            fields["at_end"] = part
        elif part in ("anew", "runs on", "if new"):
            fields["begins"] = part
        else:
            raise WordsError(f"clip plays: type {PLAYS_HINT}; not '{part[:30]}'")
    if not fields:
        return None
    try:
        return Playback.model_validate(fields)
    except ValidationError as error:
        found = error.errors()[0]
        name = {"in_s": "from", "speed": "at", "fit_bars": "in"}.get(
            str(found["loc"][0]), str(found["loc"][0])
        )
        raise WordsError(f"clip plays: '{name}' {found['msg'].lower().replace('input ', '')}") from None
