"""A throwaway PostgreSQL server that can be stopped and started again."""

import os
import shutil
import subprocess
import tempfile
from itertools import count
from pathlib import Path
from typing import Any

import psycopg
import pytest


class PgServer:
    """A server of its own in a folder of its own, reached by a socket there."""

    def __init__(self) -> None:
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
        programs = found[-1].parent if found else None
        if programs is None and (on_path := shutil.which("initdb")):
            programs = Path(on_path).parent
        if programs is None:
            if os.environ.get("CI"):
                pytest.fail("no PostgreSQL server programs (initdb) on this machine")
            pytest.skip("no PostgreSQL server programs (initdb) on this machine")
        self._programs = programs
        # PostgreSQL refuses to run as root, so there its own account is used.
        account: dict[str, Any] = {"user": "postgres"} if os.geteuid() == 0 else {}
        self.folder = Path(tempfile.mkdtemp(prefix="tour-pg-"))  # short: a socket's path has 107 characters
        if account:
            shutil.chown(self.folder, "postgres")
        self._quiet: dict[str, Any] = {"capture_output": True, "cwd": self.folder, **account}
        self._data = self.folder / "data"
        self._numbers = count(1)
        initdb = [programs / "initdb", "-D", self._data, "-U", "postgres", "-A", "trust", "-E", "UTF8"]
        subprocess.run([*initdb, "--no-sync"], check=True, **self._quiet)
        self.start()

    def start(self) -> None:
        """Start, and wait until it takes connections."""
        folder = self.folder
        options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"
        control = [self._programs / "pg_ctl", "-D", self._data, "-w", "-l", folder / "log", "-o", options]
        subprocess.run([*control, "start"], check=True, **self._quiet)

    def stop(self, how: str = "fast") -> None:
        """Stop it under whoever is connected."""
        subprocess.run(
            [self._programs / "pg_ctl", "-D", self._data, "-m", how, "stop"], check=True, **self._quiet
        )

    def database(self) -> str:
        """The address of a new, empty database."""
        name = f"tour{next(self._numbers)}"
        address = f"host={self.folder} user=postgres dbname=postgres"
        with psycopg.connect(address, autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}".encode())
        return f"postgresql://postgres@/{name}?host={self.folder}"

    def close(self) -> None:
        """Stop it for good and leave nothing."""
        try:
            control = [self._programs / "pg_ctl", "-D", self._data, "-m", "immediate", "stop"]
            subprocess.run(control, check=False, **self._quiet)
        finally:
            shutil.rmtree(self.folder, ignore_errors=True)
