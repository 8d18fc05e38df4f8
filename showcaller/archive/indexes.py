"""Indexes on parts of the events, apart from the tables: to speak of them SQLAlchemy loads every database's
dialect, which only migrating and comparing need.
"""

from sqlalchemy import Index, text

from showcaller.archive.tables import TELLING_SQL, EventRow

ITEM_ENDED = Index(
    "ix_events_item_ended",
    EventRow.item,
    sqlite_where=text("kind = 'item_ended'"),
    postgresql_where=text("kind = 'item_ended'"),
)

TELLING = Index(
    "ix_events_telling",
    EventRow.run_id,
    EventRow.seq,
    EventRow.ordinal,
    sqlite_where=text(TELLING_SQL),
    postgresql_where=text(TELLING_SQL),
)
