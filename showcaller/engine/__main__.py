"""``python -m showcaller.engine FOLDER [SPEED]``: what a desk starts; not for people."""

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
        run_engine(Path(sys.argv[1]), float(sys.argv[2]) if len(sys.argv) > 2 else 1.0)
    except EngineError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
