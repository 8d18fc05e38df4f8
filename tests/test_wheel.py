"""The package as it is installed: everything it needs is in the wheel, and it runs from any folder."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_the_wheel_brings_its_resources_and_runs_elsewhere(tmp_path):
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path / "dist")]
    done = subprocess.run(build, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (wheel,) = (tmp_path / "dist").glob("*.whl")
    unpacked = tmp_path / "installed"
    with zipfile.ZipFile(wheel) as file:
        names = file.namelist()
        file.extractall(unpacked)
    for wanted in (
        "showcaller/resources/theme/dark.json",
        "showcaller/resources/fonts/Inter-Regular.otf",
        "showcaller/resources/schema/show.schema.json",
        "showcaller/sample_shows/breakwater.json",
        "showcaller/sample_shows/media/tide.mp4",
        "showcaller/resources/handbook/index.md",
        "showcaller/resources/handbook/pictures/call.png",
        "showcaller/resources/desktop/showcaller.svg",
        "showcaller/crew/texts.json",
        "showcaller/crew/static/index.html",
        "showcaller/crew/static/app.js",
        "showcaller/archive/migrations/env.py",
    ):
        assert wanted in names
    assert not [n for n in names if "__pycache__" in n or n.startswith(("tests/", "benchmarks/"))]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    # -I keeps the repository out of the path; the wheel comes first in it.
    code = (
        f"import sys; sys.path.insert(0, {str(unpacked)!r}); import showcaller; "
        "assert showcaller.__file__.startswith(sys.path[0]); "
        "from showcaller.resources import sample, resource; "
        "assert str(sample('x')).startswith(sys.path[0]); "
        "sys.argv = ['showcaller', 'check', str(sample('breakwater.json'))]; "
        "from showcaller.cli import main; main()"
    )
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    args = [sys.executable, "-I", "-c", code]
    ran = subprocess.run(args, cwd=elsewhere, env=env, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert "no problem" in ran.stderr
