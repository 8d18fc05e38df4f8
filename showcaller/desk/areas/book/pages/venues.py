"""Venues of the tour: a place and its times, its nights, whom to call there, its own rules. Enter on a night
plays the show there."""

from collections.abc import Callable

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.changes import Change, ChangeError, Put, SetFields, Take, Together
from showcaller.editing.forms.of_venues import (
    CONTACT_HINT,
    NIGHT_HINT,
    RULE_HINT,
    VENUE_HINT,
    contact_text,
    parse_contact,
    parse_night,
    parse_venue,
    venue_text,
)
from showcaller.editing.venues import add_venue, night_words, play_at, venue_of_tonight
from showcaller.model import Show, Venue
from showcaller.screen.measures import Unit, size_text
from showcaller.values import Struct

Typed = Callable[[str], str | None]

_HINTS = {"venue": VENUE_HINT, "nights": NIGHT_HINT, "contacts": CONTACT_HINT, "rules": RULE_HINT}
_WORDS = {"venue": "a venue", "nights": "a night", "contacts": "whom to call", "rules": "a rule of the house"}


class _Row(Struct, frozen=True):
    """``of`` is the venue, None to add one; ``index`` the place in its list, None to add to it."""

    line: Line
    what: str
    of: Venue | None = None
    index: int | None = None


class Venues(Page):
    """Each venue with its nights, people and rules, a line each; the last of each part adds one more."""

    title = "Venues and nights"
    widths = (1.0,)

    def __init__(
        self,
        show: Callable[[], Show],
        do: Callable[[str, Change], bool],
        type_line: Callable[[str, str, Typed], None],
        say: Callable[[str, str], None],
    ) -> None:
        super().__init__()
        self._show = show
        self._do = do
        self._type = type_line
        self._say = say

    def lead(self) -> str:
        tonight = night_words(self._show())
        return f"Tonight: {tonight}. Enter on a night plays there: its times, ways, day and wall."

    def hint(self) -> str:
        return (
            f"Enter: type, or play that night · {self.keys['book.edit']} on a venue: its times · "
            f"{self.keys['book.remove']}: remove · Escape goes back"
        )

    def _rows(self) -> list[_Row]:
        show = self._show()
        tonight, rows = venue_of_tonight(show), list[_Row]()
        for venue in show.venues:
            here = tonight is not None and venue.id == tonight.id
            rows.append(_Row(Line((venue_text(venue),), "accent" if here else "strong"), "venue", venue))
            for n, night in enumerate(venue.nights):
                is_now = here and night == show.date
                words = (
                    f"      ● night {night}: tonight" if is_now else f"      night {night}: Enter plays it"
                )
                rows.append(_Row(Line((words,), "accent" if is_now else "text"), "nights", venue, n))
            rows.append(
                _Row(Line((f"      one more night, such as {NIGHT_HINT}",), "quiet"), "nights", venue)
            )
            for n, contact in enumerate(venue.contacts):
                rows.append(_Row(Line((f"      {contact_text(contact)}",)), "contacts", venue, n))
            rows.append(
                _Row(Line((f"      one more to call, such as {CONTACT_HINT}",), "quiet"), "contacts", venue)
            )
            for n, rule in enumerate(venue.rules):
                rows.append(_Row(Line((f"      rule: {rule}",)), "rules", venue, n))
            rows.append(_Row(Line((f"      one more rule, such as: {RULE_HINT}",), "quiet"), "rules", venue))
            own = "" if here else _own_words(venue, show.lengths)
            if own:
                rows.append(_Row(Line((f"      its own: {own}",), "quiet"), "own", venue))
        return [*rows, _Row(Line((f"one more venue, such as {VENUE_HINT}",), "quiet"), "venue")]

    def lines(self) -> tuple[Line, ...]:
        return tuple(row.line for row in self._rows())

    def enter(self) -> None:
        row = self._rows()[self.at]
        if row.what == "own":
            self._say("another venue's own is changed on a night there: Enter on one plays it", "quiet")
        elif row.what == "nights" and row.of is not None and row.index is not None:
            self._play(row.of, row.of.nights[row.index])
        else:
            words = f"{_WORDS[row.what]}: {_HINTS[row.what]}"
            self._type(words, self._typed(row), lambda text: self._take(row, text))

    def _play(self, venue: Venue, night: str) -> None:
        if self._do(f"{venue.name}, {night}", play_at(self._show(), venue.id, night)):
            self._say(
                f"the show plays at {venue.name} on {night}; with its times, ways, day sheet and wall",
                "quiet",
            )

    @staticmethod
    def _typed(row: _Row) -> str:
        venue = row.of
        if venue is None or (row.index is None and row.what != "venue"):
            return ""
        if row.what == "venue":
            return venue_text(venue)
        assert row.index is not None
        return contact_text(venue.contacts[row.index]) if row.what == "contacts" else venue.rules[row.index]

    def _take(self, row: _Row, text: str) -> str | None:
        try:
            words, change = self._change(row, text)
        except ChangeError as error:
            return str(error)
        if not self._do(words, change):
            return "that cannot be taken; the line at the foot says what to change"
        if row.what == "venue" and row.of is None:  # tonight's own may have become one too, above it
            name = text.partition(":")[0].strip()
            rows = self._rows()
            self.at = next((n for n, r in enumerate(rows) if r.of and r.of.name == name), self.at)
        return None

    def _change(self, row: _Row, text: str) -> tuple[str, Change]:
        show, venue = self._show(), row.of
        if row.what == "venue":
            part = parse_venue(show, text, venue)
            if venue is None:
                return f"the venue {part['name']}", add_venue(show, part)
            return f"the venue {part['name']}", _renamed(show, venue, part)
        assert venue is not None
        at = ("venues", venue.id)
        if row.what == "nights":
            night = parse_night(text)
            nights = sorted({*venue.nights, night})
            return f"a night at {venue.name}", SetFields(at=at, fields={"nights": nights})
        if row.what == "contacts":
            put = Put(at=(*at, "contacts"), index=_place(row, venue.contacts), part=parse_contact(text))
            if row.index is None:
                return f"whom to call at {venue.name}", put
            take = Take(at=(*at, "contacts"), key=row.index + 1)
            return f"whom to call at {venue.name}", Together(changes=(put, take))
        if not text.strip():
            raise ChangeError(f"nothing is typed; give the rule in its own words: {RULE_HINT}")
        rules = list(venue.rules)
        at_n = len(rules) if row.index is None else row.index
        rules[at_n : at_n + 1] = [text.strip()]
        return f"a rule at {venue.name}", SetFields(at=at, fields={"rules": rules})

    def act(self, name: str) -> bool:
        row = self._rows()[self.at]
        if name == "new_cue":
            self.at = len(self._rows()) - 1
            self.enter()
        elif name == "remove" and row.of is not None:
            self._remove(row, row.of)
        else:
            return False
        return True

    def _remove(self, row: _Row, venue: Venue) -> None:
        at = ("venues", venue.id)
        if row.what == "venue":
            self._do(f"removed {venue.name}", Take(at=("venues",), key=venue.id))
        elif row.what == "contacts" and row.index is not None:
            self._do(f"removed from {venue.name}", Take(at=(*at, "contacts"), key=row.index))
        elif row.what in ("nights", "rules") and row.index is not None:
            left = [x for n, x in enumerate(getattr(venue, row.what)) if n != row.index]
            self._do(f"removed from {venue.name}", SetFields(at=at, fields={row.what: left}))


def _own_words(venue: Venue, lengths: Unit) -> str:
    """What another venue has of its own: ``ways Tunnel · day of 9 · LED wall 40 x 12 m``."""
    said = [f"ways {', '.join(route.name for route in venue.routes)}"] if venue.routes else []
    said += [f"day of {len(venue.day)}"] if venue.day else []
    said += [f"{x.name} {size_text(x.width_m, x.height_m, lengths)}" for x in venue.surfaces]
    return " · ".join(said)


def _place(row: _Row, parts: tuple[object, ...]) -> int:
    return len(parts) if row.index is None else row.index


def _renamed(show: Show, venue: Venue, part: dict[str, object]) -> Change:
    """Tonight's venue is the show's own place too: one change for both."""
    fields = {name: value for name, value in part.items() if name != "id"}
    changes: list[Change] = [SetFields(at=("venues", venue.id), fields=fields)]
    if venue_of_tonight(show) == venue:
        own = {"venue": fields.pop("name"), **fields}
        changes.append(SetFields(at=(), fields=own))
    return Together(changes=tuple(changes))
