"""Taking out of a text and a record whatever says who, where and what show. Pure."""

import json
import re
from collections.abc import Iterable, Iterator
from ipaddress import ip_address
from typing import Any

from showcaller.run import events as ev
from showcaller.run.codec import event_dict, input_dict
from showcaller.run.commands import NotCalling
from showcaller.run.runlog import Record

_ADDRESS = re.compile(
    r"(?<![\d.])\d{1,3}(?:\.\d{1,3}){3}(?!\d)"  # IPv4
    r"|(?<![\w:])[0-9A-Fa-f]{0,4}(?::[0-9A-Fa-f]{0,4}){2,7}(?![\w:])"  # IPv6, and timecodes, which are none
)
_SHORTEST = 3
"""Shorter words of a show are left in texts: 'a' would take out every a."""

_KEPT = ("kind", "state")
"""Fields of an event whose words are ours and not the show's."""


class Scrubber:
    """Replaces words of the show, people, this machine and addresses in any text.

    ``words`` are taken out wherever they stand as words; ``places`` maps a home folder, a machine's name and
    the like to what stands instead.
    """

    def __init__(self, words: Iterable[str], places: dict[str, str]) -> None:
        listed = sorted({w for w in words if len(w) >= _SHORTEST}, key=len, reverse=True)
        self._places = sorted(((k, v) for k, v in places.items() if k), key=lambda kv: -len(kv[0]))
        self._words = [
            re.compile("|".join(rf"(?<!\w){re.escape(w)}(?!\w)" for w in part), re.IGNORECASE)
            for part in _parts(listed)
        ]
        self._addresses: dict[str, str] = {}
        self._outlets: dict[str, str] = {}

    def text(self, text: str) -> str:
        """A text with all of it taken out."""
        for found, instead in self._places:
            text = instead.join(re.split(rf"(?<!\w){re.escape(found)}(?!\w)", text))
        for pattern in self._words:
            text = pattern.sub("[show]", text)
        return _ADDRESS.sub(self._address, text)

    def _address(self, match: re.Match[str]) -> str:
        try:
            found = ip_address(match.group())
        except ValueError:
            return match.group()
        if found.is_loopback or found.is_unspecified:
            return match.group()
        return self._addresses.setdefault(str(found), f"[address {len(self._addresses) + 1}]")

    def record(self, record: Record) -> dict[str, Any]:
        """What of a record says how the machine did, and nothing of what was played, said or by whom."""
        # Who has the calls is in the sentence that refuses a desk which watches.
        named = isinstance(record.input, NotCalling)
        events = [self._event(event, named) for event in record.events]
        kind = record.input.kind
        return {"seq": record.seq, "t_s": round(record.t_ns / 1e9, 6), "input": kind, "events": events}

    def _event(self, event: ev.Event, named: bool) -> dict[str, Any]:
        body = event_dict(event)
        kept = {k: body[k] for k in _KEPT if k in body}
        kept |= {k: v for k, v in body.items() if isinstance(v, int | float) and not isinstance(v, bool)}
        if body.get("outlet"):
            kept["outlet"] = self._outlets.setdefault(body["outlet"], f"outlet {len(self._outlets) + 1}")
        if isinstance(event, _OF_THE_MACHINE) and event.why is not None and not named:
            kept["why"] = self.text(event.why)
        return kept


_OF_THE_MACHINE = (
    ev.MessagesFailed, ev.OutletState, ev.RemoteAsked, ev.CommandRefused, ev.TimecodePortState,
    ev.ReportsHeard,
)  # fmt: skip
"""Events whose reason is the machine's; others' are a person's words."""


def words_of(show_text: str, ours: frozenset[str]) -> Iterator[str]:
    """Every text in a show document that is not one of ``ours`` (the words of the format itself)."""
    try:
        document = json.loads(show_text)
    except ValueError:
        return
    for text in _texts(document):
        if text.lower() not in ours:
            yield text
            yield from (w for w in re.findall(r"\w{4,}", text) if w.lower() not in ours)


def words_in(records: Iterable[Record]) -> Iterator[str]:
    """People and notes in a run's records."""
    for record in records:
        for part in (input_dict(record.input), *map(event_dict, record.events)):
            for field in ("caller", "by", "text", "to", "reason", "name"):
                if isinstance(part.get(field), str):
                    yield part[field]


def words_of_the_format(schema: str) -> frozenset[str]:
    """The words of the format itself by its published schema, in lower case: fields and choices."""
    whole = _without_prose(json.loads(schema))
    return frozenset(w.lower() for text in (*_texts(whole), *_names(whole)) for w in _with_parts(text))


def _without_prose(part: Any) -> Any:
    """A schema without its descriptions, whose words could be anybody's."""
    if isinstance(part, dict):
        return {
            k: _without_prose(v)
            for k, v in part.items()
            if not (k in ("description", "title", "examples") and isinstance(v, str | list))
        }
    return [_without_prose(v) for v in part] if isinstance(part, list) else part


def _with_parts(text: str) -> Iterator[str]:
    yield text
    yield from re.findall(r"\w+", text)


def _names(part: Any) -> Iterator[str]:
    for value in part.values() if isinstance(part, dict) else part if isinstance(part, list) else ():
        yield from _names(value)
    if isinstance(part, dict):
        yield from part


def _texts(part: Any) -> Iterator[str]:
    if isinstance(part, str):
        yield part
    elif isinstance(part, dict):
        for value in part.values():
            yield from _texts(value)
    elif isinstance(part, list):
        for value in part:
            yield from _texts(value)


def _parts(words: list[str], size: int = 400) -> Iterator[list[str]]:
    for at in range(0, len(words), size):
        yield words[at : at + size]
