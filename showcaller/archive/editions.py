"""Editions: frozen documents of the show, each once, with the names people give them."""

import json
from collections.abc import Iterable

from sqlalchemy import Connection, insert, select

from showcaller.archive.errors import TourError
from showcaller.archive.opened import OpenTour, now_or
from showcaller.archive.queries import EDITIONS, edition_of, next_number, one_at_a_time
from showcaller.archive.tables import EditionNameRow, EditionRow
from showcaller.archive.values import Edition, Frozen, PlaceThen
from showcaller.model import DayItem, DocumentError, Show, parse_show, show_text
from showcaller.model.document import text_digest
from showcaller.values import replace

LONGEST_NAME = 80
KEPT_SHOWS = 8
"""Editions never change, so the shows of the last few asked for are kept: reading one takes the longest."""


def digest_of(show: Show) -> str:
    """SHA-256 of the show document's text, in hex: equal documents are one edition."""
    return text_digest(show_text(show))


class Editions(OpenTour):
    """The tour's editions."""

    def editions(self) -> list[Edition]:
        """All editions, oldest first, with their names."""
        with self.reading() as connection:
            rows = connection.execute(EDITIONS.order_by(EditionRow.number))
            return _named(connection, [edition_of(row) for row in rows])

    def add_edition(self, show: Show, *, wall_ns: int | None = None) -> Edition:
        """The edition of this document: a new one, or the one it equals already.

        Raises:
            TourError: it cannot be written.
        """
        document = show_text(show)
        digest = text_digest(document)
        with self.reading() as connection:
            found = _by_digest(connection, digest)
        if found is not None:
            return found
        with self.writing() as connection:
            one_at_a_time(connection)
            edition, _ = self._kept(connection, show.name, document, digest, now_or(wall_ns))
            return edition

    def freeze(self, show: Show, name: str, *, wall_ns: int | None = None) -> Frozen:
        """Freeze this document under a name of the user's.

        Equal documents are one edition: where it equals an earlier one, that one gets the name as well, and
        the answer says so. The same name given again to the same document changes nothing.

        Raises:
            TourError: no name, one too long, one that another edition has; or it cannot be written.
        """
        name = name.strip()
        if not name:
            raise TourError("an edition frozen by hand needs a name, such as 'after previews'")
        if len(name) > LONGEST_NAME:
            raise TourError(f"the name of an edition has at most {LONGEST_NAME} characters, not {len(name)}")
        document = show_text(show)
        digest = text_digest(document)
        with self.writing() as connection:
            one_at_a_time(connection)
            taken = connection.execute(
                select(EditionRow.number, EditionRow.digest)
                .join(EditionNameRow, EditionNameRow.edition_id == EditionRow.id)
                .where(EditionNameRow.name == name)
            ).one_or_none()
            if taken is not None and taken.digest != digest:
                raise TourError(
                    f"edition {taken.number} is called '{name}' already; nothing was changed, "
                    "give another name"
                )
            at = now_or(wall_ns)
            edition, new = self._kept(connection, show.name, document, digest, at)
            if taken is None:
                key = connection.execute(
                    select(EditionRow.id).where(EditionRow.digest == digest)
                ).scalar_one()
                connection.execute(insert(EditionNameRow).values(name=name, edition_id=key, given_wall_ns=at))
                self.tell(connection, "edition", edition.number)
            named = replace(edition, names=(*edition.names, name)) if taken is None else edition
        return Frozen(named, new, _words(edition, name, new, taken is not None))

    def _kept(
        self, connection: Connection, name: str, document: str, digest: str, wall_ns: int
    ) -> tuple[Edition, bool]:
        found = _by_digest(connection, digest)
        if found is not None:
            return found, False
        values = {
            "number": next_number(connection, EditionRow), "digest": digest, "name": name,
            "created_wall_ns": wall_ns, "document": document,
        }  # fmt: skip
        connection.execute(insert(EditionRow).values(**values))
        made = _by_digest(connection, digest)
        assert made is not None
        self.tell(connection, "edition", made.number)
        return made, True

    def document_of(self, edition: Edition | int) -> str:
        """The document of an edition (or of the edition with this number), as it was frozen.

        Raises:
            TourError: no such edition here.
        """
        number = edition.number if isinstance(edition, Edition) else edition
        with self.reading() as connection:
            document = connection.execute(
                select(EditionRow.document).where(EditionRow.number == number)
            ).scalar_one_or_none()
        if document is None:
            raise TourError(f"there is no edition {number} in {self.where}")
        if not isinstance(document, str):  # SQLite keeps a number where a text belongs
            raise TourError(f"{self.where} is damaged: edition {number} is no text; open a copy made earlier")
        return document

    def show_of(self, edition: Edition | int) -> Show:
        """The show of an edition (or of the edition with this number).

        Raises:
            TourError: no such edition here, or its document cannot be read.
        """
        number = edition.number if isinstance(edition, Edition) else edition
        known = self._shows.get(number)
        if known is not None:
            return known
        try:
            show = parse_show(self.document_of(number), f"edition {number}")
        except DocumentError as error:
            raise TourError(str(error)) from None
        while len(self._shows) >= KEPT_SHOWS:
            self._shows.pop(next(iter(self._shows)), None)
        self._shows[number] = show
        return show

    def place_of(self, number: int) -> PlaceThen:
        """The time zone and the day sheet of the edition with this number, without reading all the rest of
        its show: a tour has one for every night. Each is read once.

        Raises:
            TourError: no such edition here, or they cannot be read.
        """
        known = self._places.get(number)
        if known is not None:
            return known
        try:
            data = json.loads(self.document_of(number))
            day = tuple(DayItem.model_validate(item) for item in data.get("day", ()))
            found = self._places[number] = PlaceThen(data.get("time_zone"), day)
        except (ValueError, AttributeError, TypeError):
            raise TourError(f"edition {number} is no show document; open a copy made earlier") from None
        return found


def _by_digest(connection: Connection, digest: str) -> Edition | None:
    row = connection.execute(EDITIONS.where(EditionRow.digest == digest)).one_or_none()
    return None if row is None else _named(connection, [edition_of(row)])[0]


def _named(connection: Connection, editions: Iterable[Edition]) -> list[Edition]:
    names: dict[int, list[str]] = {}
    query = (
        select(EditionRow.number, EditionNameRow.name)
        .join(EditionNameRow, EditionNameRow.edition_id == EditionRow.id)
        .order_by(EditionNameRow.given_wall_ns, EditionNameRow.name)
    )
    for number, name in connection.execute(query):
        names.setdefault(number, []).append(name)
    return [replace(e, names=tuple(names.get(e.number, ()))) for e in editions]


def _words(edition: Edition, name: str, new: bool, had_it: bool) -> str:
    if new:
        return f"Frozen as edition {edition.number}, '{name}'."
    if had_it:
        return f"This is edition {edition.number}, '{name}', already; nothing has changed since."
    before = f", also called '{edition.label}'" if edition.label else ""
    return f"The same as edition {edition.number}{before}: it is now called '{name}' too."
