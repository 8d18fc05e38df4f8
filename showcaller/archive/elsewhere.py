"""A tour file from elsewhere, looked through by a process of its own before anything of it is taken in.

SQLite reads what it finds where it believes it to be; a file that was made to do harm ends that process, or
is found out there: its pages checked, its texts read, its editions parsed as shows.
"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

from showcaller.archive.errors import TourError
from showcaller.model import DocumentError, parse_show
from showcaller.outside import Limits, Refused, Stopped, Within, look_at_file
from showcaller.outside.asking import ask
from showcaller.outside.limits import Tell

LIMITS = Limits(time_s=120.0, file_bytes=2_000_000_000)
"""A tour of two hundred runs is some fifty megabytes."""


def look_through(
    path: Path, seen: Tell = lambda _what, _done, _of: None, stop: Callable[[], bool] = lambda: False
) -> None:
    """See that a tour file can be read. It waits for a process.

    Raises:
        TourError: it cannot, it exceeds a limit, or ``stop`` said so.
    """
    reader = "showcaller.archive.elsewhere:looked_through"
    try:
        ask(reader, str(path), name=path.name, limits=LIMITS, seen=seen, stop=stop)
    except Stopped:
        raise TourError(f"looking through {path.name} was stopped; nothing was changed") from None
    except Refused as error:
        raise TourError(str(error)) from None


def looked_through(within: Within, path: str) -> None:
    """The child's part. Nothing is written: the file is opened to be read only.

    Raises:
        Refused: it is damaged, or holds an edition that is no show.
    """
    where = Path(path)
    size = look_at_file(where, within.limits.file_bytes)
    within.tell(f"looking through {where.name}", 0, size)
    try:
        with closing(sqlite3.connect(f"file:{quote(str(where))}?mode=ro", uri=True)) as file:
            file.execute("PRAGMA trusted_schema = OFF")
            file.set_progress_handler(lambda: within.tell(f"looking through {where.name}", 0, 0), 100_000)
            (found,) = file.execute("PRAGMA quick_check(1)").fetchone()
            if found != "ok":
                raise Refused(
                    f"{where.name} is damaged ({' '.join(str(found).split())}); open a copy made earlier"
                )
            of = file.execute("SELECT count(*) FROM editions").fetchone()[0]
            for n, (number, document) in enumerate(file.execute("SELECT number, document FROM editions")):
                within.tell(f"editions of {where.name}", n, of)
                parse_show(str(document), f"edition {number} of {where.name}")
    except DocumentError as error:
        raise Refused(error.problems[0]) from None
    except (sqlite3.Error, UnicodeDecodeError, OverflowError) as error:
        raise Refused(f"{where.name} is damaged or not a tour ({error}); open a copy made earlier") from None
