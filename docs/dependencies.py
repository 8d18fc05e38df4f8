"""Writes ``docs/dependencies.md`` and ``docs/sbom.cdx.json`` (CycloneDX 1.6) from the lock file.

``python docs/dependencies.py`` in an environment that has what is locked, after the lock was made anew. A
direct dependency without a line of its own in ``WHY`` stops it; ``tests/docs/test_dependencies.py`` sees that
neither file goes stale.
"""

import json
import re
import sys
import tomllib
from importlib import metadata
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TABLE, SBOM = ROOT / "docs" / "dependencies.md", ROOT / "docs" / "sbom.cdx.json"

WHY = {
    "aiohttp": "serves the crew pages",
    "alembic": "brings a tour of an older version to the present one",
    "arabic-reshaper": "the forms of Arabic letters on paper",
    "av": "reads clips, sound and cameras (FFmpeg), frame by frame",
    "cryptography": "the crew pages' certificate, made on the spot",
    "defusedxml": "reads the XML in spreadsheets from outside without its entities",
    "filelock": "one desk at a time writes a document",
    "icalendar": "the day as a calendar with named time zones",
    "jinja2": "the report as a web page, its texts escaped",
    "mido": "MIDI messages and MIDI files",
    "msgspec": "the small frozen values that a show is passed around as, made in C",
    "numpy": "pictures, sound and samples as arrays",
    "odfpy": "writes ODS spreadsheets",
    "opencv-python-headless": "puts layers together and decodes stills",
    "openpyxl": "reads and writes XLSX spreadsheets",
    "opentimelineio": "timelines for editing programs",
    "otio-cmx3600-adapter": "edit lists (CMX 3600)",
    "platformdirs": "where the user's settings lie on each system",
    "pocketsphinx": "finds the caller's lines in the headset track, on this machine; its model is inside",
    "psycopg": "a tour on PostgreSQL, told of changes by LISTEN and NOTIFY",
    "pydantic": "the show document: validated, its errors named by their path, its schema published",
    "pyside6-essentials": "the window; held to 6.11, see DEVELOPERS.md",
    "pyqtgraph": "charts in Drift",
    "python-bidi": "the order of letters that run from right to left, on paper",
    "python-dateutil": "the zone of this machine with its summer time, where a show names none",
    "python-osc": "OSC messages as bytes",
    "pyzmq": "the desk and the engine talk",
    "reportlab": "scripts, cue sheets and reports as PDF",
    "rich": "progress and plain output of the command line",
    "scipy": "the forecast, and finding a song's sound in a recording",
    "segno": "QR codes of the crew pages",
    "spake2": "a code of six digits lets a machine in without being sent",
    "sqlalchemy": "the tour: the same code on SQLite and PostgreSQL",
    "typer": "the command line",
    "zeroconf": "finds the caller's machine on the network",
    "python-rtmidi": "MIDI ports; everything else works without it",
    "axe-playwright-python": "checks the crew pages for what hinders people (axe-core, MPL-2.0, inside)",
    "furo": "how the handbook looks as web pages",
    "hatchling": "builds the package",
    "hypothesis": "tests of invariants with made-up examples",
    "import-linter": "holds the rooms: imports go down only",
    "jsonschema": "the published schema against an independent validator",
    "mypy": "types, strictly",
    "myst-parser": "the handbook is Markdown, to Sphinx too",
    "networkx": "an independent graph library that tests compare with",
    "ortools": "an independent solver that tests compare the call solver with",
    "pillow": "an independent picture library that tests compare with",
    "playwright": "drives a real browser (the system's Chromium) in tests of the crew pages",
    "pretty-midi": "an independent reader of MIDI files that tests compare with",
    "pytest": "runs the tests",
    "pytest-benchmark": "times what benchmarks/ measures",
    "pytest-qt": "drives the window in tests",
    "pytest-rerunfailures": "tries a test of real instants again where the machine was held up",
    "pytest-timeout": "a test that hangs fails",
    "pytest-xdist": "tests on all processors",
    "ruff": "format and lint",
    "scikit-image": "independent picture arithmetic that tests compare with",
    "scipy-stubs": "types of SciPy",
    "sphinx": "the handbook as web pages, every warning an error",
    "statsmodels": "independent statistics that tests compare with",
    "timecode": "an independent timecode library that tests compare with",
    "types-openpyxl": "types of openpyxl",
    "types-reportlab": "types of reportlab",
    "webvtt-py": "an independent reader of WebVTT that tests compare with",
}
"""Why each direct dependency is there, by its normal name."""

LICENCES = {
    "arabic-reshaper": "MIT", "python-bidi": "LGPL-3.0-or-later",
    "accessible-pygments": "BSD-3-Clause", "alabaster": "BSD-3-Clause", "beautifulsoup4": "MIT",
    "ifaddr": "MIT", "spake2": "MIT",
    "certifi": "MPL-2.0", "docutils": "LicenseRef-Public-Domain AND BSD-2-Clause AND GPL-3.0-or-later",
    "furo": "MIT", "mdit-py-plugins": "MIT", "myst-parser": "MIT", "pyyaml": "MIT", "requests": "Apache-2.0",
    "snowballstemmer": "BSD-3-Clause", "sphinx-basic-ng": "MIT", "sphinxcontrib-applehelp": "BSD-2-Clause",
    "sphinxcontrib-devhelp": "BSD-2-Clause", "sphinxcontrib-htmlhelp": "BSD-2-Clause",
    "sphinxcontrib-jsmath": "BSD-2-Clause", "sphinxcontrib-qthelp": "BSD-2-Clause",
    "sphinxcontrib-serializinghtml": "BSD-2-Clause",
    "aiohappyeyeballs": "PSF-2.0", "aiosignal": "Apache-2.0", "axe-playwright-python": "MIT AND MPL-2.0",
    "charset-normalizer": "MIT", "colorama": "BSD-3-Clause", "defusedxml": "PSF-2.0",
    "et-xmlfile": "MIT", "frozenlist": "Apache-2.0", "grimp": "BSD-2-Clause",
    "import-linter": "BSD-2-Clause", "interface-meta": "MIT",
    "jinja2": "BSD-3-Clause", "markdown-it-py": "MIT", "mdurl": "MIT", "mido": "MIT",
    "odfpy": "Apache-2.0 OR GPL-2.0-or-later OR LGPL-2.1-or-later", "opencv-python-headless": "Apache-2.0",
    "openpyxl": "MIT", "opentimelineio": "Apache-2.0", "ortools": "Apache-2.0",
    "otio-cmx3600-adapter": "Apache-2.0", "pathspec": "MPL-2.0", "patsy": "BSD-2-Clause", "pluggy": "MIT",
    "pretty-midi": "MIT", "propcache": "Apache-2.0", "protobuf": "BSD-3-Clause",
    "pocketsphinx": "BSD-2-Clause", "pycparser": "BSD-3-Clause", "pyqtgraph": "MIT",
    "pyside6-essentials": "LGPL-3.0-only OR GPL-2.0-only OR GPL-3.0-only", "pytest-qt": "MIT",
    "pytest-rerunfailures": "MPL-2.0",
    "pytest-timeout": "MIT", "python-osc": "Unlicense", "python-rtmidi": "MIT", "reportlab": "BSD-3-Clause",
    "rich": "MIT", "scikit-image": "BSD-3-Clause", "scipy": "BSD-3-Clause", "segno": "BSD-3-Clause",
    "shellingham": "ISC",
    "shiboken6": "LGPL-3.0-only OR GPL-2.0-only OR GPL-3.0-only", "six": "MIT",
    "sortedcontainers": "Apache-2.0", "sounddevice": "MIT",
    "tifffile": "BSD-3-Clause", "trove-classifiers": "Apache-2.0",
    "tzdata": "Apache-2.0",
    "webvtt-py": "MIT", "yarl": "Apache-2.0",
}  # fmt: skip
"""SPDX expressions of those that do not name their licence so themselves; read in their licence files."""

HEAD = """# What showcaller is built on

Made by `python docs/dependencies.py` from `requirements.lock`; the same as a bill of materials for programs
is `sbom.cdx.json` (CycloneDX). Licences are SPDX expressions. *tests* marks what only developing needs.

| package | version | licence | why it is there |
|---|---|---|---|
"""


def normal(name: str) -> str:
    """A package's normal name."""
    return re.sub(r"[-_.]+", "-", name).lower()


def locked(text: str) -> dict[str, list[str]]:
    """Normal name → versions, from a lock file's text; several where they differ by Python."""
    found: dict[str, list[str]] = {}
    for name, version in re.findall(r"^([A-Za-z0-9._-]+)==([^ ;\\\n]+)", text, re.MULTILINE):
        found.setdefault(normal(name), []).append(version)
    return found


def direct() -> tuple[set[str], set[str]]:
    """(what the app needs, what developing needs), as pyproject.toml has them."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

    def names(lines: list[str]) -> set[str]:
        return {normal(re.split(r"[\[<>=~ ;]", line)[0]) for line in lines}

    extras = project["optional-dependencies"]
    return names(project["dependencies"] + extras["midi"]), names(extras["dev"])


def needed_by() -> dict[str, set[str]]:
    """Package → those installed here that require it."""
    found: dict[str, set[str]] = {}
    for package in metadata.distributions():
        for line in package.requires or ():
            if "extra ==" not in line:
                name = normal(re.split(r"[\[<>=~!( ;]", line)[0])
                found.setdefault(name, set()).add(normal(package.metadata["Name"]))
    return found


def licence(name: str) -> str:
    """A package's licence as an SPDX expression."""
    if name in LICENCES:
        return LICENCES[name]
    said = metadata.metadata(name).get("License-Expression")
    if not said:
        sys.exit(f"{name} does not say its licence as an SPDX expression; add it to LICENCES")
    return str(said)


def rows() -> list[tuple[str, list[str], str, str, bool]]:
    """(name, versions, licence, why, only for developing) of everything locked."""
    versions = locked((ROOT / "requirements.lock").read_text(encoding="utf-8"))
    app, dev = direct()
    parents = needed_by()
    reached, waiting = set(app), list(app)
    children: dict[str, set[str]] = {}
    for child, some in parents.items():
        for parent in some:
            children.setdefault(parent, set()).add(child)
    while waiting:
        for child in children.get(waiting.pop(), set()) - reached:
            reached.add(child)
            waiting.append(child)
    made = []
    for name in sorted(versions):
        by = ", ".join(sorted(parents.get(name, set()) & set(versions))) or "a package for another system"
        why = WHY.get(name) or (
            sys.exit(f"say in WHY why {name} is there") if name in app | dev else f"for {by}"
        )
        made.append((name, versions[name], licence(name), str(why), name not in reached))
    return made


def main() -> None:
    """Write both files."""
    everything = rows()
    lines = [
        f"| {name} | {', '.join(versions)} | {spdx} | {'*tests* ' if dev else ''}{why} |"
        for name, versions, spdx, why, dev in everything
    ]
    TABLE.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")
    components = [
        {
            "type": "library",
            "bom-ref": f"{name}@{version}",
            "name": name,
            "version": version,
            "description": why,
            "scope": "excluded" if dev else "required",
            "licenses": [{"expression": spdx}],
            "purl": f"pkg:pypi/{name}@{version}",
        }
        for name, versions, spdx, why, dev in everything
        for version in versions
    ]
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    about = {
        "type": "application", "bom-ref": "showcaller", "name": "showcaller", "version": project["version"],
        "licenses": [{"expression": project["license"]}],
    }  # fmt: skip
    bill = {"bomFormat": "CycloneDX", "specVersion": "1.6", "version": 1, "metadata": {"component": about},
            "components": components}  # fmt: skip
    SBOM.write_text(json.dumps(bill, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
