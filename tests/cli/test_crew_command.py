"""Crew pages from the command line: what it prints is enough to get in, and Ctrl+C ends it."""

import os
import signal
import ssl
import subprocess
import sys
import urllib.request
from pathlib import Path

from devices import free_port
from small_shows import two_songs
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.model import write_show


def served(tmp_path: Path, *more: str) -> tuple[subprocess.Popen[str], list[str]]:
    """The command, and what it has printed of the way in."""
    env = {**os.environ, "XDG_STATE_HOME": str(tmp_path / "state"), "COLUMNS": "200"}
    args = [
        sys.executable,
        "-m",
        "showcaller",
        "crew",
        str(tmp_path / "show.json"),
        "--bind",
        "127.0.0.1",
        *more,
    ]
    process = subprocess.Popen(
        args, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=env, text=True,
        preexec_fn=_hears_ctrl_c,  # noqa: PLW1509 - nothing is done there but one call
    )  # fmt: skip
    lines: list[str] = []
    assert process.stdout is not None
    for line in process.stdout:
        lines.append(line.rstrip())
        if "Ctrl+C" in line:
            return process, lines
    raise AssertionError("\n".join(lines))


def _hears_ctrl_c() -> None:
    """Also where these tests run in the background of a shell, which lets its children ignore it."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def ended(process: subprocess.Popen[str]) -> str:
    """Ctrl+C, and its last words."""
    process.send_signal(signal.SIGINT)
    said, _ = process.communicate(timeout=40)
    assert process.returncode == 0
    return said


def test_it_prints_the_way_in_serves_and_ends_by_ctrl_c(tmp_path: Path):
    write_show(two_songs(), tmp_path / "show.json")
    port = free_port()
    process, lines = served(tmp_path, "--port", str(port))
    pin = next(line.split()[-1] for line in lines if line.startswith("PIN"))
    link = next(line.split()[-1] for line in lines if "or open" in line)
    assert pin.isdecimal()
    assert link.startswith(f"https://127.0.0.1:{port}/#")
    assert any("\u2588" in line or "\u2580" in line or "\u2584" in line for line in lines)  # the code itself
    (certificate,) = (tmp_path / "state").glob("showcaller/crew/*/certificate.pem")
    trust = ssl.create_default_context(cafile=str(certificate))
    with urllib.request.urlopen(link, context=trust, timeout=5) as answer:
        assert b"NOT CONNECTED" in answer.read()
    assert "Crew pages closed" in ended(process)

    process, again = served(tmp_path, "--port", str(port), "--withdraw")
    assert pin not in "".join(again)
    ended(process)


def test_what_is_no_show_is_one_sentence(tmp_path: Path):
    done = CliRunner().invoke(app, ["crew", str(tmp_path / "none.json")])
    assert done.exit_code == 2
    assert "no show document and no show's log" in done.stderr
