"""A packed file (XLSX and ODS are ZIP archives), looked at before anything in it is unpacked."""

import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from showcaller.editing.importing.sheets import TableError
from showcaller.outside import Refused
from showcaller.outside.limits import size_words

MOST_UNPACKED_BYTES = 256_000_000
MOST_PARTS = 2_000


@contextmanager
def opened(path: Path, kind: str) -> Iterator[zipfile.ZipFile]:
    """The archive; what any library says against its content is one sentence.

    Python's zipfile unpacks no more of a part than its directory promises, so its sizes can be relied on.

    Raises:
        TableError: it is damaged, or not of this kind.
        Refused: it would unpack to more than the limit.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            parts = archive.infolist()
            # A part is read in one piece as long as its directory says, which may be anything.
            if sum(part.compress_size for part in parts) > path.stat().st_size:
                raise TableError(f"{path.name} holds less than its own list of contents says; save it again")
            size = sum(part.file_size for part in parts)
            if size > MOST_UNPACKED_BYTES or len(parts) > MOST_PARTS:
                raise Refused(
                    f"{path.name} would unpack to {size_words(size)} in {len(parts):,} parts; "
                    f"{size_words(MOST_UNPACKED_BYTES)} and {MOST_PARTS:,} parts are the limit"
                )
            yield archive
    except (TableError, Refused, MemoryError, OSError):
        raise
    except Exception as error:  # zip, XML and cell readers raise whatever they like
        reason = " ".join(str(error).split())[:120] or type(error).__name__
        raise TableError(f"{path.name} cannot be opened as {kind} ({reason}); save it again") from None
