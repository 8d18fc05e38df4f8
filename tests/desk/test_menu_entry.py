"""The entry in a desktop's menu, read by freedesktop.org's own tools."""

import subprocess
import xml.etree.ElementTree as ET

import pytest
from devices import program
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.desk.menu_entry import MIME, command_of, files
from showcaller.desk.qt import QIcon
from showcaller.resources import resource, sample


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path


@pytest.mark.system
def test_it_is_written_is_valid_and_is_taken_away_again(home):
    done = CliRunner().invoke(app, ["menu-entry"])
    assert done.exit_code == 0, done.output
    entry = home / "applications" / "showcaller.desktop"
    checked = subprocess.run(
        [program("desktop-file-validate"), entry], capture_output=True, text=True, check=False
    )
    assert (checked.returncode, checked.stdout) == (0, "")
    update = [program("update-mime-database"), home / "mime"]
    subprocess.run(update, check=True, capture_output=True)
    assert MIME in (home / "mime" / "globs").read_text()
    done = CliRunner().invoke(app, ["menu-entry", "--remove"])
    assert "removed" in done.output
    assert not [path for path, _ in files(home, "") if path.exists()]
    assert "There was no menu entry" in CliRunner().invoke(app, ["menu-entry", "--remove"]).output


def test_a_show_document_begins_as_the_type_says():
    match = ET.parse(resource("desktop", "showcaller.xml")).getroot().find(".//{*}match")
    assert match is not None
    first, last = map(int, match.attrib["offset"].split(":"))
    at = sample("breakwater.json").read_bytes().index(match.attrib["value"].encode())
    assert first <= at <= last


def test_a_folder_with_a_blank_or_a_percent_sign_is_quoted():
    assert command_of("/opt/my python/bin/python") == '"/opt/my python/bin/python" -m showcaller'
    assert "/opt/50%%/python" in command_of("/opt/50%/python")


def test_the_icon_can_be_drawn(qapp):
    assert not QIcon(str(resource("desktop", "showcaller.svg"))).pixmap(64, 64).isNull()
