"""Alembic's way in. The connection is handed over by :mod:`showcaller.archive.opening`; there is no ini."""

from alembic import context

from showcaller.archive import indexes  # noqa: F401 - they belong to the tables from then on
from showcaller.archive.tables import Base

context.configure(
    connection=context.config.attributes["connection"], target_metadata=Base.metadata, render_as_batch=True
)
with context.begin_transaction():
    context.run_migrations()
