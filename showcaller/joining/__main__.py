"""What a desk or a command starts, not people: ``door RUNS PORT BIND`` and ``link FOLDER``."""

import logging
import signal
import sys
from pathlib import Path

from showcaller.joining import following, serving


def main(args: list[str]) -> int:
    """Run; the exit status."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a Ctrl-C meant for the desk must not end it
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(message)s")
    if args[0] == "door":
        return serving.serve(Path(args[1]), int(args[2]), args[3])
    return following.serve(Path(args[1]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
