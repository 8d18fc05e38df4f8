"""What the desk's window needs to open, and what it must not load before."""

import subprocess
import sys

import pytest

HEAVY = (
    "numpy", "scipy", "psycopg", "cv2", "av", "openpyxl", "alembic", "reportlab",
    "sqlalchemy.dialects.postgresql",
)  # fmt: skip


@pytest.mark.parametrize("room", ["showcaller.desk.app", "showcaller.cli.every"])
def test_the_window_opens_without_libraries_it_does_not_need_yet(room: str) -> None:
    code = f"import sys, {room}; print([n for n in {HEAVY!r} if n in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
