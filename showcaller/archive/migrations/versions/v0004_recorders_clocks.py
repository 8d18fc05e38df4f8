"""A recorder's clock runs at its own rate: how much faster than the run's, and how sure that is."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Two columns; what was aligned before runs as the run does."""
    drift: sa.Column[float] = sa.Column("drift_ppm", sa.Double(), nullable=False, server_default=sa.text("0"))
    op.add_column("recordings", drift)
    op.add_column("recordings", sa.Column("drift_error_ppm", sa.Double(), nullable=True))
