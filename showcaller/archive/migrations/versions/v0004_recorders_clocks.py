"""A recorder's clock runs at its own rate, and a record knows which desk asked for it."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """What was aligned before runs as the run does; what was logged before names no desk."""
    drift: sa.Column[float] = sa.Column("drift_ppm", sa.Double(), nullable=False, server_default=sa.text("0"))
    op.add_column("recordings", drift)
    op.add_column("recordings", sa.Column("drift_error_ppm", sa.Double(), nullable=True))
    op.add_column("records", sa.Column("by", sa.Text(), nullable=False, server_default=""))
