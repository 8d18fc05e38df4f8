"""``python -m showcaller.engine FOLDER SPEED WALL0_NS``: what a desk starts; not for people."""

import signal
import sys
from pathlib import Path

from showcaller.engine.process import EngineError, run_engine


def main() -> int:
    """Run; a reason not to is one line on standard error and exit status 2."""
    # A Ctrl-C meant for the desk, or a closing terminal, must not end a show.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        folder, speed, wall0_ns = sys.argv[1:4]
        run_engine(Path(folder), float(speed), int(wall0_ns) if wall0_ns != "now" else None)
    except EngineError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
