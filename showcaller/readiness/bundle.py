"""A bundle for whoever helps when something went wrong: logs, versions, facts. Nothing personal unless asked.

The show, what was said and who called stay out: of a run's record only what the machine did is kept, texts
are scrubbed (``scrub.py``), and every file is listed before anything is written.
"""

import getpass
import json
import os
import platform
import socket
import sys
import zipfile
from collections.abc import Iterable, Iterator
from importlib import metadata
from pathlib import Path

from showcaller import __version__
from showcaller.engine.journal import JournalError
from showcaller.engine.protocol import JOURNAL_FILE, LOG_FILE
from showcaller.engine.runfile import RunFile, RunFileError, read_run
from showcaller.model.document import schema_text
from showcaller.readiness.finding import Finding
from showcaller.readiness.scrub import Scrubber, words_in, words_of, words_of_the_format
from showcaller.values import Struct

RUNS = 5
"""The newest so many runs."""

LONGEST_LOG = 1_000_000
"""Bytes of an engine's log, from its end."""


class Part(Struct, frozen=True):
    """A file of the bundle: its name there, what it is in words, and what it holds."""

    name: str
    what: str
    body: bytes


def collect(
    runs: Path, findings: Iterable[Finding], settings: Path | None = None, with_show: bool = False
) -> list[Part]:
    """All parts. With ``with_show`` the shows and the whole records go along, with every name in them.

    Args:
        runs: where runs are kept; only read.
        findings: of the self test.
        settings: the user's settings folder, for the keys they chose.
    """
    folders = [f.parent for f in runs.glob(f"*/{JOURNAL_FILE}*")] + [
        f.parent for f in runs.glob(f"*/{LOG_FILE}")
    ]
    newest = sorted(set(folders), key=lambda f: -f.stat().st_mtime)[:RUNS]
    read = {folder: _read(folder) for folder in newest}
    known = [run for run in read.values() if isinstance(run, RunFile)]
    ours = words_of_the_format(schema_text())
    words = [w for run in known for w in (*words_of(run.show_text, ours), *words_in(run.records))]
    for folder in newest:
        beside = folder / "show.json"
        if beside.exists():
            words += words_of(beside.read_text(encoding="utf-8", errors="replace"), ours)
    scrubber = Scrubber(words, _places(runs))
    parts = [
        Part("facts.json", "versions and facts of this machine", _json(facts())),
        Part("selftest.txt", "what the self test found", _told(findings, scrubber)),
    ]
    for n, folder in enumerate(newest, 1):
        parts += _of_run(f"run-{n}", folder, read[folder], scrubber, with_show)
    if settings is not None and (settings / "keys.json").is_file():
        body = (settings / "keys.json").read_text(encoding="utf-8", errors="replace")
        parts.append(Part("keys.json", "the keys you chose", scrubber.text(body).encode()))
    return parts


def listing(parts: Iterable[Part]) -> Iterator[str]:
    """A line for each part, before it is written."""
    for part in parts:
        yield f"{part.name:<22} {len(part.body):>9,} bytes  {part.what}"


def write(parts: Iterable[Part], path: Path) -> None:
    """Write the bundle.

    Raises:
        FileExistsError: there is a file of that name; it is left as it is.
        OSError: it cannot be written; nothing is left of it.
    """
    with path.open("xb") as file:
        try:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as bundle:
                for part in parts:
                    # No times of this machine's: they would say where it stands.
                    bundle.writestr(zipfile.ZipInfo(part.name), part.body, zipfile.ZIP_DEFLATED)
        except BaseException:
            path.unlink(missing_ok=True)
            raise


def facts() -> dict[str, object]:
    """Versions and the machine, without its name or its user's."""
    packages = {}
    for line in metadata.requires("showcaller") or ():
        name = line.split(";")[0].split("[")[0].split(">")[0].split("~")[0].split("=")[0].strip()
        try:
            packages[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            packages[name] = "not installed"
    return {
        "showcaller": __version__,
        "python": f"{platform.python_implementation()} {platform.python_version()}",
        "system": f"{platform.system()} {platform.release()}",
        "processor": platform.machine(),
        "cores": os.cpu_count(),
        "bits": sys.maxsize.bit_length() + 1,
        "encoding": sys.getfilesystemencoding(),
        "packages": dict(sorted(packages.items())),
    }


def _places(runs: Path) -> dict[str, str]:
    try:
        user = getpass.getuser()
    except (OSError, KeyError, ImportError):
        user = ""
    return {
        str(runs.absolute()): "[runs]",
        str(Path.home()): "[home]",
        str(Path.cwd()): "[folder]",
        socket.gethostname(): "[machine]",
        user: "[user]",
    }


def _read(folder: Path) -> RunFile | str:
    try:
        return read_run(folder / JOURNAL_FILE)
    except (JournalError, RunFileError, OSError) as error:
        return str(error)


def _of_run(
    name: str, folder: Path, run: RunFile | str, scrubber: Scrubber, with_show: bool
) -> Iterator[Part]:
    sizes = {f.name: f.stat().st_size for f in sorted(folder.iterdir()) if f.is_file()}
    yield Part(f"{name}/files.json", "names and sizes of a run's files", _json(sizes))
    log = folder / LOG_FILE
    if log.is_file():
        text = log.read_bytes()[-LONGEST_LOG:].decode(errors="replace")
        body = text if with_show else scrubber.text(text)
        yield Part(f"{name}/{LOG_FILE}", "what its engine said", body.encode())
    if isinstance(run, str):
        yield Part(f"{name}/record.txt", "why its record cannot be read", scrubber.text(run).encode())
        return
    if with_show:
        yield Part(f"{name}/show.json", "THE WHOLE SHOW, with its names", run.show_text.encode())
        whole = b"\n".join(record.to_bytes() for record in run.records)
        yield Part(f"{name}/record.jsonl", "THE WHOLE RECORD, with names and notes", whole)
        return
    lines = [json.dumps(scrubber.record(record), ensure_ascii=False) for record in run.records]
    what = "what the machine did, without the show, names or notes"
    yield Part(f"{name}/record.jsonl", what, "\n".join(lines).encode())


def _told(findings: Iterable[Finding], scrubber: Scrubber) -> bytes:
    lines = [f"{f.state:<6} {f.what}: {f.words} {f.do}".rstrip() for f in findings]
    return scrubber.text("\n".join(lines)).encode()


def _json(what: object) -> bytes:
    return json.dumps(what, indent=1, ensure_ascii=False).encode()
