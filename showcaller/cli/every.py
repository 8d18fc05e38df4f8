"""All commands: a module for each kind."""

from showcaller import __version__
from showcaller.cli import book, crew, desk, helping, joining, live, plan, record, tours, venues, wall
from showcaller.cli.common import app, out


@app.command()
def version() -> None:
    """Print the version."""
    out.print(__version__)


__all__ = [
    "app",
    "book",
    "crew",
    "desk",
    "helping",
    "joining",
    "live",
    "plan",
    "record",
    "tours",
    "venues",
    "wall",
]
