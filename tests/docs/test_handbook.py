"""The handbook is true: commands run, documents are read, keys exist, the reference is what the code says."""

import importlib.util
import json
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from test_readme_keys import chords_named
from test_words_people_read import STUMBLED_OVER
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.demo.sample import copy_sample, make_sample_tour
from showcaller.desk.actions import ACTIONS
from showcaller.desk.handbook_pages import HandbookPage, contents, page_for
from showcaller.desk.keys import Keys, load_keys
from showcaller.model import parse_show
from showcaller.resources import resource, sample

ROOT = Path(__file__).parents[2]
FOLDER = resource("handbook")
PAGES = sorted(p.relative_to(FOLDER).with_suffix("").as_posix() for p in FOLDER.rglob("*.md"))
WRITTEN = [page for page in PAGES if not page.startswith("reference/")]

ELSEWHERE = {
    "showcaller demo --headless": "tests/demo",
    "showcaller selftest": "tests/readiness/test_fitness.py",
    "showcaller support --yes": "tests/readiness/test_bundle.py",
}
"""Commands that take seconds, and where they are run."""


def text(page: str) -> str:
    return (FOLDER / f"{page}.md").read_text(encoding="utf-8")


def fenced(page: str, kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```", text(page), re.MULTILINE | re.DOTALL)


def commands(page: str) -> list[str]:
    return [line[2:] for block in fenced(page, "console") for line in block.splitlines() if line[:2] == "$ "]


@pytest.fixture(scope="module")
def desk_of_a_show(tmp_path_factory):
    """A folder with what the pages speak of: a show, an older one, its tour with runs, a running order."""
    folder = tmp_path_factory.mktemp("handbook")
    made = copy_sample(folder).rename(folder / "my-show.json")
    make_sample_tour(made, folder / "my-show.tour")
    older = json.loads(sample("breakwater.json").read_text(encoding="utf-8"))
    older["items"][0]["name"] = "First Light, long"
    (folder / "my-old-show.json").write_text(json.dumps(older), encoding="utf-8")
    (folder / "running-order.csv").write_text("Song,Length\nIron Gulls,4:36\n", encoding="utf-8")
    return folder


@pytest.mark.parametrize("page", [page for page in WRITTEN if commands(page)])
def test_every_command_of_a_page_runs(desk_of_a_show, monkeypatch, page):
    monkeypatch.chdir(desk_of_a_show)
    for line in commands(page):
        if line in ELSEWHERE:
            continue
        done = CliRunner().invoke(app, shlex.split(line)[1:])
        assert done.exit_code == 0, f"{line}\n{done.output}"


def test_those_that_are_run_elsewhere_are_named_in_the_handbook():
    assert set(ELSEWHERE) <= {line for page in WRITTEN for line in commands(page)}


@pytest.mark.parametrize("page", [page for page in WRITTEN if fenced(page, "json") and page != "howto/keys"])
def test_every_part_of_a_document_is_read(page):
    whole = json.loads(sample("breakwater.json").read_text(encoding="utf-8"))
    for block in fenced(page, "json"):
        parse_show(json.dumps(whole | json.loads(block)))


def test_keys_of_ones_own_are_read(tmp_path):
    for block in fenced("howto/keys", "json"):
        (tmp_path / "keys.json").write_text(block, encoding="utf-8")
        assert load_keys(tmp_path / "keys.json")["standby"] == "F5"


@pytest.mark.parametrize("page", WRITTEN)
def test_every_key_means_something_and_nobody_stumbles_over_a_word(page):
    known = {chord for name in ACTIONS for chord in Keys().chords(name)}
    assert chords_named(text(page)) <= known, sorted(chords_named(text(page)) - known)
    assert [phrase for phrase in STUMBLED_OVER if phrase in text(page)] == []


def test_every_page_is_in_the_contents_once_and_every_link_and_picture_is_there():
    listed = [entry.page for entry in contents() if isinstance(entry, HandbookPage)]
    assert sorted(listed) == PAGES
    for page in PAGES:
        for link in re.findall(r"\]\(([^)#]+)\)", text(page)):
            assert (FOLDER / f"{page}.md").parent.joinpath(link).exists(), f"{page}: {link}"


@pytest.mark.parametrize("area", ["Book", "Wall", "Call", "Drift"])
@pytest.mark.parametrize("live", [False, True])
def test_there_is_a_page_for_whatever_is_on_screen(area, live):
    assert {page_for(area, live), page_for(area, live, set_up=True)} <= set(PAGES)


def test_the_reference_is_what_the_code_says():
    spec = importlib.util.spec_from_file_location("reference", ROOT / "docs" / "reference.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    for name, make in module.PAGES.items():
        assert make() == text(f"reference/{name}"), f"python docs/reference.py writes {name}.md anew"


def test_it_is_built_as_web_pages_without_a_warning(tmp_path):
    args = [sys.executable, "-m", "sphinx", "-W", "-q", "-c", str(ROOT / "docs"), str(FOLDER), str(tmp_path)]
    done = subprocess.run(args, capture_output=True, text=True, check=False, timeout=100)
    assert done.returncode == 0, done.stderr
    first = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert all(f'href="{page}.html"' in first for page in PAGES if page != "index")
