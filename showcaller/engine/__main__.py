"""``python -m showcaller.engine FOLDER SPEED WALL0_NS [TAKES_OVER]``: what a desk starts; not for people.

``wait`` instead: the same, but what comes after it is read from a line of JSON.
"""

import json
import signal
import sys
from pathlib import Path

from showcaller.engine.process import EngineError, run_engine
from showcaller.run.commands import RaiseTerm


def main() -> int:
    """Run; a reason not to is one line on standard error and exit status 2."""
    # A Ctrl-C meant for the desk, or a closing terminal, must not end a show.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        args = sys.argv[1:]
        if args == ["wait"]:  # all is loaded; what is to be run comes when it is known
            args = json.loads(sys.stdin.readline() or "[]")
            if not args:
                return 0
        folder, speed, wall0_ns, *more = args
        takes_over = RaiseTerm(**json.loads(more[0])) if more else None
        run_engine(Path(folder), float(speed), int(wall0_ns) if wall0_ns != "now" else None, takes_over)
    except EngineError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
