"""The command line: thin; every decision is asked of the rooms. A module for each kind of command."""

from showcaller import __version__
from showcaller.cli import book, helping, live, plan, record, tours, wall
from showcaller.cli.common import app, out


@app.command()
def version() -> None:
    """Print the version."""
    out.print(__version__)


def main() -> None:
    """The console script's entry."""
    app(prog_name="showcaller")


__all__ = ["app", "book", "helping", "live", "main", "plan", "record", "tours", "wall"]
