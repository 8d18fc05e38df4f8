"""What is locked, what is listed and the bill of materials say the same, and none of it names a registry."""

import importlib.util
import json
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LOCK = (ROOT / "requirements.lock").read_text(encoding="utf-8")


def loaded(path: Path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


listing = loaded(ROOT / "docs" / "dependencies.py")
LOCKED = listing.locked(LOCK)


def table() -> dict[str, list[str]]:
    text = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8")
    cells = [line.strip("|").split(" | ") for line in text.splitlines() if line.startswith("| ")][1:]
    assert all(len(row) == 4 and all(cell.strip() for cell in row) for row in cells)
    return {row[0].strip(): row[1].split(", ") for row in cells}


def test_every_requirement_is_locked_and_every_one_locked_is_listed_in_its_version():
    app, dev = listing.direct()
    assert app | dev <= set(LOCKED)
    assert table() == LOCKED


def test_each_direct_one_says_why_it_is_there_and_nothing_else_does():
    app, dev = listing.direct()
    assert set(listing.WHY) == app | dev


def test_the_bill_of_materials_has_the_same_with_a_licence_each():
    bill = json.loads((ROOT / "docs" / "sbom.cdx.json").read_text(encoding="utf-8"))
    assert (bill["bomFormat"], bill["specVersion"]) == ("CycloneDX", "1.6")
    found: dict[str, list[str]] = {}
    for part in bill["components"]:
        found.setdefault(part["name"], []).append(part["version"])
        assert part["licenses"][0]["expression"]
        assert part["purl"] == f"pkg:pypi/{part['name']}@{part['version']}"
    assert found == LOCKED
    assert len({part["bom-ref"] for part in bill["components"]}) == len(bill["components"])


def test_what_is_listed_as_installed_here_says_the_same_licence_itself():
    """A licence that a package names by an SPDX expression is taken from it, not from memory."""
    from importlib import metadata

    bill = json.loads((ROOT / "docs" / "sbom.cdx.json").read_text(encoding="utf-8"))
    for part in bill["components"]:
        try:
            package = metadata.metadata(part["name"])
        except metadata.PackageNotFoundError:
            continue
        said = package.get("License-Expression")
        if said and package["Version"] == part["version"]:
            assert part["licenses"][0]["expression"] == said


def test_each_pin_has_a_hash_and_installing_asks_for_them():
    pins = loaded(ROOT / "run.py").locked(LOCK)
    assert sum(len(versions) for versions in LOCKED.values()) == len(pins)
    assert all(re.search(r" --hash=sha256:[0-9a-f]{64}", pin) for pin in pins)
    assert "--require-hashes" in (ROOT / "run.py").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "name", ["requirements.lock", "docs/dependencies.md", "docs/sbom.cdx.json", "run.py"]
)
def test_no_address_of_a_registry_stands_in(name):
    text = (ROOT / name).read_text(encoding="utf-8")
    assert not re.search(r"https?://|--index-url|--extra-index|--find-links", text)


def test_a_changed_byte_is_not_installed(tmp_path):
    """pip itself, with a package made here and the hash of another."""
    import sys

    wheel = tmp_path / "thing-1.0-py3-none-any.whl"
    import zipfile

    with zipfile.ZipFile(wheel, "w") as archive:
        archive.writestr("thing.py", "")
        archive.writestr("thing-1.0.dist-info/METADATA", "Metadata-Version: 2.1\nName: thing\nVersion: 1.0\n")
        archive.writestr("thing-1.0.dist-info/WHEEL", "Wheel-Version: 1.0\nTag: py3-none-any\n")
        archive.writestr("thing-1.0.dist-info/RECORD", "")
    lock = tmp_path / "lock.txt"
    lock.write_text("thing==1.0 --hash=sha256:" + "0" * 64 + "\n")
    command = [sys.executable, "-m", "pip", "install", "--require-hashes", "--no-index", "--find-links",
               str(tmp_path), "--target", str(tmp_path / "into"), "-r", str(lock)]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode != 0
    assert "DO NOT MATCH THE HASHES" in done.stderr
