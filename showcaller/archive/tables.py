"""The tour's tables, as they are now. How they came to be is in ``migrations/``.

Documents, inputs and events are kept as the JSON text they were written in, not as a database's own JSON,
so that they come back byte for byte from every database.
"""

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    MetaData,
    String,
    Text,
    UniqueConstraint,
)
from sqlalchemy import text as sqltext
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

TELLING = (
    "item_started", "item_ended", "held", "resumed", "jumped", "taken_back", "note",
    "incident_opened", "incident", "walk_stopped",
)  # fmt: skip
"""Kinds of events that are asked for across all runs; they have an index of their own."""

TELLING_SQL = f"kind IN ({', '.join(repr(kind) for kind in TELLING)})"
"""Written the same in index and query: SQLite takes a partial index only for the very same words."""


class Base(DeclarativeBase):
    """All constraints have names, so that a later migration can speak of them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_name)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


class TourRow(Base):
    """One row: what this tour is."""

    __tablename__ = "tour"
    __table_args__ = (CheckConstraint("id = 1", name="one_row"),)

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    name: Mapped[str] = mapped_column(Text)
    format_version: Mapped[int]
    created_wall_ns: Mapped[int] = mapped_column(BigInteger)


class EditionRow(Base):
    """A frozen show document."""

    __tablename__ = "editions"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(unique=True)
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    name: Mapped[str] = mapped_column(Text)
    created_wall_ns: Mapped[int] = mapped_column(BigInteger)
    document: Mapped[str] = mapped_column(Text)


class RunRow(Base):
    """One run of an edition. ``run_id`` is the journal's own, so that none comes in twice."""

    __tablename__ = "runs"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(unique=True)
    run_id: Mapped[str] = mapped_column(String(64), unique=True)
    edition_id: Mapped[int] = mapped_column(ForeignKey("editions.id"), index=True)
    caller: Mapped[str] = mapped_column(Text)
    muted: Mapped[bool]
    simulated: Mapped[int | None] = mapped_column(BigInteger)
    started_wall_ns: Mapped[int] = mapped_column(BigInteger)
    ended_wall_ns: Mapped[int] = mapped_column(BigInteger)
    finished: Mapped[bool]
    records: Mapped[int]


class RecordRow(Base):
    """A record's stamps, its input and the desk that asked for it; its events are in ``events``."""

    __tablename__ = "records"
    __table_args__ = ({"sqlite_with_rowid": False},)

    run_id: Mapped[int] = mapped_column(ForeignKey("runs.id"), primary_key=True)
    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    t_ns: Mapped[int] = mapped_column(BigInteger)
    wall_ns: Mapped[int] = mapped_column(BigInteger)
    input: Mapped[str] = mapped_column(Text)
    by: Mapped[str] = mapped_column(Text, server_default="")


class EventRow(Base):
    """One fact. The columns beside ``body`` repeat what is searched for; indexes are in ``indexes.py``."""

    __tablename__ = "events"
    __table_args__ = (
        ForeignKeyConstraint(["run_id", "seq"], ["records.run_id", "records.seq"]),
        {"sqlite_with_rowid": False},
    )

    run_id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    ordinal: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    t_ns: Mapped[int] = mapped_column(BigInteger)
    wall_ns: Mapped[int] = mapped_column(BigInteger)
    kind: Mapped[str] = mapped_column(String(32))
    item: Mapped[str | None] = mapped_column(String(64))
    cue: Mapped[str | None] = mapped_column(String(64))
    planned_s: Mapped[float | None] = mapped_column(Double)
    actual_s: Mapped[float | None] = mapped_column(Double)
    body: Mapped[str] = mapped_column(Text)


class EditionNameRow(Base):
    """A name that somebody gave an edition; an edition may have several, a name is one edition's."""

    __tablename__ = "edition_names"

    name: Mapped[str] = mapped_column(Text, primary_key=True)
    edition_id: Mapped[int] = mapped_column(ForeignKey("editions.id"), index=True)
    given_wall_ns: Mapped[int] = mapped_column(BigInteger)


class DayMarkRow(Base):
    """Something of the day began or ended. Marks are added, never changed: a later one counts instead."""

    __tablename__ = "day_marks"

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[str] = mapped_column(String(10), index=True)
    item: Mapped[str] = mapped_column(String(64))
    what: Mapped[str] = mapped_column(String(8))
    wall_ns: Mapped[int] = mapped_column(BigInteger)
    marked_by: Mapped[str] = mapped_column(Text)
    written_wall_ns: Mapped[int] = mapped_column(BigInteger)


class RecordingRow(Base):
    """A video of a run: which file, and where in it the run's clock stands."""

    __tablename__ = "recordings"
    __table_args__ = (UniqueConstraint("run_id", "path"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("runs.id"))
    path: Mapped[str] = mapped_column(Text)
    zero_ns: Mapped[int] = mapped_column(BigInteger)
    how: Mapped[str] = mapped_column(String(16))
    aligned_by: Mapped[str] = mapped_column(Text)
    written_wall_ns: Mapped[int] = mapped_column(BigInteger)
    drift_ppm: Mapped[float] = mapped_column(Double, server_default=sqltext("0"))
    drift_error_ppm: Mapped[float | None] = mapped_column(Double)


class RemarkRow(Base):
    """A note written after the show, at a moment of the run."""

    __tablename__ = "remarks"

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("runs.id"), index=True)
    t_ns: Mapped[int] = mapped_column(BigInteger)
    kind: Mapped[str] = mapped_column(String(16))
    text: Mapped[str] = mapped_column(Text)
    written_by: Mapped[str] = mapped_column(Text)
    written_wall_ns: Mapped[int] = mapped_column(BigInteger)
