"""What is written out, opened and saved by another spreadsheet program, comes back as the same show."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from test_round_trip import SAMPLE, emptied, same_items, taken_in

from showcaller.editing.exporting.tables import all_sheets, write_ods, write_xlsx

pytestmark = [pytest.mark.system, pytest.mark.long]


@pytest.mark.parametrize(("written", "saved"), [("xlsx", "ods"), ("ods", "xlsx"), ("xlsx", "xlsx")])
def test_libreoffice_opens_it_saves_it_and_it_comes_back(tmp_path: Path, written: str, saved: str) -> None:
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("LibreOffice is not here: apt-get install libreoffice-calc-nogui")
    path = tmp_path / f"show.{written}"
    (write_xlsx if written == "xlsx" else write_ods)(all_sheets(SAMPLE), path)
    subprocess.run(
        [program, "--headless", "--convert-to", saved, "--outdir", tmp_path / "out", path],
        check=True, capture_output=True, timeout=110, env={**os.environ, "HOME": str(tmp_path)},
    )  # fmt: skip
    back = taken_in(emptied(SAMPLE), [tmp_path / "out" / f"show.{saved}"])
    assert same_items(back, SAMPLE)
