"""The page's texts: one file for all languages, read once."""

import json
from functools import lru_cache
from importlib.resources import files

LANGUAGES = ("en", "de", "fr", "es")


@lru_cache
def texts() -> dict[str, dict[str, str]]:
    """Language → key → text, all of equal keys."""
    text = (files("showcaller.crew") / "texts.json").read_text(encoding="utf-8")
    by_key: dict[str, dict[str, str]] = json.loads(text)
    return {language: {key: row[language] for key, row in by_key.items()} for language in LANGUAGES}


def choose_language(header: str) -> str:
    """The best of ours for an ``Accept-Language`` header (RFC 9110, 12.5.4); English where none fits."""
    wanted: list[tuple[float, int, str]] = []
    for n, part in enumerate(header[:400].split(",")):
        tag, _, weight = part.strip().partition(";")
        try:
            q = float(weight.partition("=")[2]) if weight.strip().startswith("q=") else 1.0
        except ValueError:
            continue
        language = tag.partition("-")[0].lower()
        if language in LANGUAGES and q > 0:
            wanted.append((-q, n, language))
    return min(wanted)[2] if wanted else "en"
