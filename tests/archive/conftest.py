"""A small show, the records of a short run, and tours on every database that is to be had."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any

import psycopg
import pytest

from showcaller.archive import Tour
from showcaller.model import Show


@pytest.fixture
def show() -> Show:
    return Show.model_validate(
        {
            "format": "showcaller/show", "version": 1, "id": "pier", "name": "Pier", "act": "Wren Halloway",
            "venue": "Kestrel Dock Arena", "starts_at": "20:45",
            "departments": [
                {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"}
            ],
            "items": [{"kind": "talk", "id": "hello", "name": "Hello – ünd", "length_s": 60, "cues": []}],
        }
    )  # fmt: skip


@pytest.fixture(scope="session")
def postgres() -> Iterator[Callable[[], str]]:
    """Makes an empty database on a throwaway PostgreSQL server and gives its address."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    programs = found[-1].parent if found else None
    if programs is None and (on_path := shutil.which("initdb")):
        programs = Path(on_path).parent
    if programs is None:
        pytest.skip("no PostgreSQL server programs (initdb) on this machine")
    # PostgreSQL refuses to run as root, so there its own account is used.
    account: dict[str, Any] = {"user": "postgres"} if os.geteuid() == 0 else {}
    folder = Path(tempfile.mkdtemp(prefix="tour-pg-"))  # short: a socket's path has 107 characters
    try:
        if account:
            shutil.chown(folder, "postgres")
        data = folder / "data"
        quiet: dict[str, Any] = {"capture_output": True, "cwd": folder, **account}
        subprocess.run(
            [programs / "initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync"],
            check=True,
            **quiet,
        )
        options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"
        log = folder / "log"
        subprocess.run(
            [programs / "pg_ctl", "-D", data, "-w", "-l", log, "-o", options, "start"], check=True, **quiet
        )
        numbers = count(1)

        def fresh() -> str:
            name = f"tour{next(numbers)}"
            with psycopg.connect(
                f"host={folder} user=postgres dbname=postgres", autocommit=True
            ) as connection:
                connection.execute(f"CREATE DATABASE {name}".encode())
            return f"postgresql://postgres@/{name}?host={folder}"

        try:
            yield fresh
        finally:
            subprocess.run([programs / "pg_ctl", "-D", data, "-m", "immediate", "stop"], check=True, **quiet)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.system)])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An address where a tour can be made, on each database."""
    if request.param == "sqlite":
        return str(tmp_path / "summer.tour")
    address: str = request.getfixturevalue("postgres")()
    return address


@pytest.fixture
def tour(where: str) -> Iterator[Tour]:
    with Tour.create(where, "Summer") as made:
        yield made


@pytest.fixture
def tour_file(tmp_path: Path) -> Path:
    """A tour in a file, closed."""
    path = tmp_path / "file.tour"
    Tour.create(path, "Summer").close()
    return path
