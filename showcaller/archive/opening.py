"""Finding a tour, telling whether it is one, and bringing it to the present version.

SQLite keeps its rollback journal rather than a write-ahead log: a tour is one file that is carried about and
may lie on a network drive, where a write-ahead log does not work (SQLite documentation, "Write-Ahead
Logging", disadvantages). A run is written in one transaction after the show, so nothing is lost by it.
"""

import os
import re
from pathlib import Path
from sqlite3 import Connection as SQLiteConnection
from typing import Any
from urllib.parse import quote_plus

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, make_url, select, text
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError
from sqlalchemy.pool import NullPool

from showcaller.archive.errors import TourError
from showcaller.archive.tables import TourRow
from showcaller.archive.telling import told
from showcaller.archive.version import FORMAT_VERSION, HEAD
from showcaller.values import Struct

MIGRATIONS = Path(__file__).parent / "migrations"
_MAGIC = b"SQLite format 3\x00"
HIDDEN = "***"
_SECRET = re.compile("pass(?!file)|pwd|secret|token", re.IGNORECASE)
"""Names of settings in an address that are nobody's business; libpq has ``password`` and ``sslpassword``."""
WAIT_S = 5.0
"""How long another program's writing is waited for."""


class Place(Struct, frozen=True):
    """Where a tour is: ``path`` for a file, else only the database's address."""

    url: URL
    name: str
    path: Path | None


def place_of(where: str | Path) -> Place:
    """The place meant by a path or a SQLAlchemy URL.

    Raises:
        TourError: not an address that can be understood.
    """
    if isinstance(where, Path) or "://" not in where:
        return _file(Path(where))
    try:
        url = make_url(where)
        if url.drivername == "postgresql":
            url = url.set(drivername="postgresql+psycopg")
        url.get_dialect()
    except (ArgumentError, NoSuchModuleError, ValueError):
        example = "postgresql+psycopg://name@host/tour"
        raise TourError(
            f"the address does not say which database; give a file's path, or an address such as {example}"
        ) from None
    if url.get_backend_name() == "sqlite":
        if url.database in (None, "", ":memory:"):
            raise TourError("a tour must outlive the program, so it cannot be kept in memory; name a file")
        return _file(Path(str(url.database)))
    return Place(url, shown(url), None)


def shown(url: URL) -> str:
    """An address as people may see it: no password, wherever in it one was given."""
    hidden = {name: HIDDEN for name in url.query if _SECRET.search(name)}
    text = url.update_query_dict(hidden).render_as_string(hide_password=True) if hidden else ""
    return text.replace(quote_plus(HIDDEN), HIDDEN) or url.render_as_string(hide_password=True)


def _file(path: Path) -> Place:
    return Place(URL.create("sqlite", database=str(path)), str(path), path)


def make_engine(place: Place, wait_s: float = WAIT_S) -> Engine:
    """An engine whose transactions are real ones, DDL included, with foreign keys held.

    Raises:
        TourError: the database's driver is not installed.
    """
    try:
        if place.path is None:
            return create_engine(
                place.url,
                pool_pre_ping=True,
                pool_size=2,
                # A server that is gone must be noticed soon, not after the network's own minutes.
                connect_args=_impatient(place.url, wait_s),
            )
        engine = create_engine(place.url, connect_args={"timeout": wait_s}, poolclass=NullPool)
    except ImportError as error:
        raise TourError(f"cannot reach {place.name}: its driver is not installed ({error})") from None
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _impatient(url: URL, wait_s: float) -> dict[str, Any]:
    """PostgreSQL's client settings, those of the address itself left as they are."""
    if url.get_backend_name() != "postgresql":
        return {}
    settings = {
        "connect_timeout": 3, "tcp_user_timeout": 4000, "keepalives_idle": 4, "keepalives_interval": 1,
        "keepalives_count": 3, "options": f"-c lock_timeout={max(1, round(wait_s * 1000))}",
        "application_name": "showcaller",
    }  # fmt: skip
    return {name: value for name, value in settings.items() if name not in url.query}


def _prepare(connection: SQLiteConnection, _record: object) -> None:
    # Without this Python's sqlite3 opens transactions by guesswork and never around DDL.
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")


def _begin(connection: Connection) -> None:
    # A transaction that reads first and writes later would be refused at once, not waited for, if another
    # program wrote in between; so a writer says so from the start.
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def writing(engine: Engine) -> Engine:
    """The same engine for transactions that write."""
    return engine.execution_options(writes=True)


def look_at_file(path: Path) -> None:
    """Refuse what is plainly not a tour, before a database library touches it.

    Raises:
        TourError: missing, a folder, unreadable, empty, or not SQLite.
    """
    if path.exists() and not path.is_file() and not path.is_dir():  # a pipe would never open
        raise TourError(f"{path} is not an ordinary file; name a tour")
    try:
        with path.open("rb") as file:
            head = file.read(len(_MAGIC))
    except FileNotFoundError:
        raise TourError(f"there is no {path}; check the name, or create a tour there") from None
    except IsADirectoryError:
        raise TourError(f"{path} is a folder, not a tour; name the file in it") from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise TourError(f"cannot read {path}: {reason}; check who may read it") from None
    if not head:
        raise TourError(f"{path} is empty, not a tour; delete it or name another file")
    if head != _MAGIC:
        raise TourError(f"{path} is not a tour; open a file that showcaller made")


def look_at_tables(connection: Connection, name: str) -> str:
    """The tour's migration, having looked only.

    Raises:
        TourError: no tour, or one from a newer showcaller.
    """
    tables = set(inspect(connection).get_table_names())
    if not {"tour", "alembic_version"} <= tables:
        raise TourError(f"{name} is a database but not a tour; open a file that showcaller made")
    revision = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    # Every version keeps these two columns of this table, so that any version can be told from it.
    version = connection.execute(select(TourRow.format_version).where(TourRow.id == 1)).scalar()
    if revision is None or version is None:
        raise TourError(f"{name} was left half made; delete it and create it again")
    if version > FORMAT_VERSION or str(revision) > HEAD:
        raise TourError(
            f"{name} was written by a newer showcaller (tour version {version}, step {revision}); "
            f"update showcaller, this one reads version {FORMAT_VERSION}, step {HEAD}"
        )
    return str(revision)


def is_empty(where: str) -> bool:
    """Whether an address leads to a database that answers and holds no table at all, so that a tour fits in.

    Raises:
        TourError: not an address that can be understood.
    """
    engine = make_engine(place_of(where))
    try:
        with engine.connect() as connection:
            return not inspect(connection).get_table_names()
    except SQLAlchemyError:
        return False
    finally:
        engine.dispose()


def only_one_builds(connection: Connection) -> None:
    """Until this transaction ends no other desk makes or changes this tour's tables; SQLite has one writer
    anyway."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(hashtext('showcaller tables'))"))


def migrate(connection: Connection) -> None:
    """Bring the tables to the present version, inside the connection's own transaction."""
    # Only a new or an old tour needs alembic; opening a present one should not pay for its import.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415
    from alembic.util import CommandError  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, "head")
    except CommandError as error:
        raise TourError(f"this tour is damaged: its version is not known ({error}); open a copy") from None


def create_tables(place: Place, engine: Engine, row: dict[str, Any]) -> None:
    """Make an empty tour with ``row`` as its description; all of it or nothing.

    Raises:
        TourError: something is there already, or it cannot be written.
    """
    made = _reserve(place.path) if place.path is not None else False
    try:
        with told(place.name), writing(engine).begin() as connection:
            only_one_builds(connection)
            taken = {"tour", "alembic_version"} & set(inspect(connection).get_table_names())
            if taken:
                raise TourError(f"{place.name} is a tour already; open it instead")
            migrate(connection)
            connection.execute(TourRow.__table__.insert().values(**row))  # type: ignore[attr-defined]
    except BaseException:
        if made and place.path is not None:
            place.path.unlink(missing_ok=True)
        raise


def _reserve(path: Path) -> bool:
    try:
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o666))
    except FileExistsError:
        raise TourError(f"{path} is there already; open it, or choose another name") from None
    except FileNotFoundError:
        raise TourError(f"cannot create {path}: there is no folder {path.parent}; make it first") from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise TourError(f"cannot create {path}: {reason}; choose another folder") from None
    return True
