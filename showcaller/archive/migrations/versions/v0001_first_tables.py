"""The first tables: tour, editions, runs, records, events.

Written out, not taken from ``tables.py``: a migration stays what it was on the day it was made.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """From nothing to the first tables."""
    op.create_table(
        "tour",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("format_version", sa.Integer(), nullable=False),
        sa.Column("created_wall_ns", sa.BigInteger(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_tour_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tour")),
    )
    op.create_table(
        "editions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("created_wall_ns", sa.BigInteger(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_editions")),
        sa.UniqueConstraint("number", name=op.f("uq_editions_number")),
        sa.UniqueConstraint("digest", name=op.f("uq_editions_digest")),
    )
    op.create_table(
        "runs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.String(64), nullable=False),
        sa.Column("edition_id", sa.Integer(), nullable=False),
        sa.Column("caller", sa.Text(), nullable=False),
        sa.Column("muted", sa.Boolean(), nullable=False),
        sa.Column("simulated", sa.BigInteger(), nullable=True),
        sa.Column("started_wall_ns", sa.BigInteger(), nullable=False),
        sa.Column("ended_wall_ns", sa.BigInteger(), nullable=False),
        sa.Column("finished", sa.Boolean(), nullable=False),
        sa.Column("records", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_runs")),
        sa.ForeignKeyConstraint(["edition_id"], ["editions.id"], name=op.f("fk_runs_edition_id_editions")),
        sa.UniqueConstraint("number", name=op.f("uq_runs_number")),
        sa.UniqueConstraint("run_id", name=op.f("uq_runs_run_id")),
    )
    op.create_index(op.f("ix_runs_edition_id"), "runs", ["edition_id"])
    op.create_table(
        "records",
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("t_ns", sa.BigInteger(), nullable=False),
        sa.Column("wall_ns", sa.BigInteger(), nullable=False),
        sa.Column("input", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("run_id", "seq", name=op.f("pk_records")),
        sa.ForeignKeyConstraint(["run_id"], ["runs.id"], name=op.f("fk_records_run_id_runs")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "events",
        sa.Column("run_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("ordinal", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("t_ns", sa.BigInteger(), nullable=False),
        sa.Column("wall_ns", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("item", sa.String(64), nullable=True),
        sa.Column("cue", sa.String(64), nullable=True),
        sa.Column("planned_s", sa.Double(), nullable=True),
        sa.Column("actual_s", sa.Double(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("run_id", "seq", "ordinal", name=op.f("pk_events")),
        sa.ForeignKeyConstraint(
            ["run_id", "seq"], ["records.run_id", "records.seq"], name=op.f("fk_events_run_id_records")
        ),
        sqlite_with_rowid=False,
    )
    op.create_index(
        "ix_events_item_ended",
        "events",
        ["item"],
        sqlite_where=sa.text("kind = 'item_ended'"),
        postgresql_where=sa.text("kind = 'item_ended'"),
    )
