"""The command line: thin; every decision is asked of the rooms. A module for each kind of command."""

import gc
import sys


def main() -> None:
    """The console script's entry. For the desk nothing is loaded that it does not need: somebody waits."""
    if sys.argv[1:2] == ["desk"]:
        gc.disable()  # until the window stands, which turns it on again: nothing that is loaded is rubbish
        from showcaller.cli import desk  # noqa: PLC0415, F401 - it is a command by being loaded
        from showcaller.cli.common import app  # noqa: PLC0415
    else:
        from showcaller.cli.every import app  # noqa: PLC0415
    app(prog_name="showcaller")


__all__ = ["main"]
