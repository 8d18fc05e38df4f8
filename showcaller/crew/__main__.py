"""The server's process, as a desk starts it: ``python -m showcaller.crew RUNS SHOW PORT [BIND]``."""

import asyncio
import json
import logging
import sys
from pathlib import Path

from showcaller.crew.keeping import KeepingError, kept_for
from showcaller.crew.serving import Server, ServingError, Wanted, give_way
from showcaller.crew.steering import serve_a_desk


def main(args: list[str]) -> int:
    """Serve; the exit status."""
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(message)s", stream=sys.stderr)
    give_way()
    where, show, port = Path(args[0]), Path(args[1]), int(args[2])
    bind = args[3] if len(args) > 3 else "0.0.0.0"
    try:
        server = Server(Wanted(where, show, port, bind=bind), kept_for(where))
    except (ServingError, KeepingError) as error:
        sys.stdout.write(json.dumps({"failed": str(error)}) + "\n")
        return 2
    asyncio.run(serve_a_desk(server))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
