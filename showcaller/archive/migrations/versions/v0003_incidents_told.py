"""Incidents and legs that were not clear are asked of all runs at once: the index holds them too."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

TELLING = sa.text(
    "kind IN ('item_started', 'item_ended', 'held', 'resumed', 'jumped', 'taken_back', 'note', "
    "'incident_opened', 'incident', 'walk_stopped')"
)


def upgrade() -> None:
    """The same index over more kinds."""
    op.drop_index("ix_events_telling", "events")
    op.create_index(
        "ix_events_telling",
        "events",
        ["run_id", "seq", "ordinal"],
        sqlite_where=TELLING,
        postgresql_where=TELLING,
    )
