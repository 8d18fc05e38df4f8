"""Names of editions, marks of the day, recordings of runs, remarks written afterwards.

What is asked of all runs at once gets an index, so that a long tour opens as fast as a short one.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

TELLING = sa.text("kind IN ('item_started', 'item_ended', 'held', 'resumed', 'jumped', 'taken_back', 'note')")


def upgrade() -> None:
    """From the first tables to these."""
    op.create_table(
        "edition_names",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("edition_id", sa.Integer(), nullable=False),
        sa.Column("given_wall_ns", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_edition_names")),
        sa.ForeignKeyConstraint(
            ["edition_id"], ["editions.id"], name=op.f("fk_edition_names_edition_id_editions")
        ),
    )
    op.create_index(op.f("ix_edition_names_edition_id"), "edition_names", ["edition_id"])
    op.create_table(
        "day_marks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day", sa.String(10), nullable=False),
        sa.Column("item", sa.String(64), nullable=False),
        sa.Column("what", sa.String(8), nullable=False),
        sa.Column("wall_ns", sa.BigInteger(), nullable=False),
        sa.Column("marked_by", sa.Text(), nullable=False),
        sa.Column("written_wall_ns", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_day_marks")),
    )
    op.create_index(op.f("ix_day_marks_day"), "day_marks", ["day"])
    op.create_table(
        "recordings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("zero_ns", sa.BigInteger(), nullable=False),
        sa.Column("how", sa.String(16), nullable=False),
        sa.Column("aligned_by", sa.Text(), nullable=False),
        sa.Column("written_wall_ns", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recordings")),
        sa.ForeignKeyConstraint(["run_id"], ["runs.id"], name=op.f("fk_recordings_run_id_runs")),
        sa.UniqueConstraint("run_id", "path", name=op.f("uq_recordings_run_id")),
    )
    op.create_table(
        "remarks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("t_ns", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("written_by", sa.Text(), nullable=False),
        sa.Column("written_wall_ns", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_remarks")),
        sa.ForeignKeyConstraint(["run_id"], ["runs.id"], name=op.f("fk_remarks_run_id_runs")),
    )
    op.create_index(op.f("ix_remarks_run_id"), "remarks", ["run_id"])
    op.create_index(
        "ix_events_telling",
        "events",
        ["run_id", "seq", "ordinal"],
        sqlite_where=TELLING,
        postgresql_where=TELLING,
    )
