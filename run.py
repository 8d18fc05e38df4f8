#!/usr/bin/env python3
"""Set up showcaller in .venv and do something with it. Needs nothing but Python 3.11 or newer.

python3 run.py demo     see it work (without a screen: runs a show and writes pictures)
python3 run.py test     every check: format, lint, types, room contracts, tests
python3 run.py desk SHOW | check SHOW | calls SHOW | run SHOW … | drift TOUR …   (see --help)
"""

import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "installed-from"

# What Qt needs of the system to draw, even without a screen.
QT_LIBRARIES = ("libegl1", "libgl1", "libxkbcommon0", "libdbus-1-3", "libfontconfig1", "libglib2.0-0")
# What a Qt window on a real (or virtual) X screen needs.
X_LIBRARIES = (
    "libxcb-cursor0", "libxcb-icccm4", "libxcb-image0", "libxcb-keysyms1", "libxcb-randr0",
    "libxcb-render-util0", "libxcb-shape0", "libxcb-xinerama0", "libxcb-xkb1", "libxkbcommon-x11-0",
)  # fmt: skip
# python-rtmidi has no wheel for every Python; with these it builds in seconds.
MIDI_BUILD = ("libasound2-dev", "libjack-jackd2-dev", "pkg-config", "g++")
# Real devices for the demo and the tests: MIDI without a sound card, an OSC receiver that is not ours,
# a virtual screen with a keyboard, an independent timecode decoder, a database server, a browser.
MIDI_SERVER = ("jackd2",)
SOUND = ("libportaudio2",)
MIDI_TOOLS = ("jack-example-tools",)  # a package of its own from Debian 13 on
TEST_PROGRAMS = (
    "liblo-tools", "xvfb", "xdotool", "x11-utils", "libltc11", "postgresql", "poppler-utils",
    "chromium", "faketime", "desktop-file-utils", "shared-mime-info", "espeak-ng", "ffmpeg",
)  # fmt: skip
PROGRAM_OF = {
    "jackd2": "jackd", "liblo-tools": "oscdump", "xvfb": "Xvfb", "xdotool": "xdotool",
    "x11-utils": "xwininfo", "poppler-utils": "pdftotext", "chromium": "chromium",
    "faketime": "faketime", "desktop-file-utils": "desktop-file-validate",
    "shared-mime-info": "update-mime-database", "espeak-ng": "espeak-ng",
    "ffmpeg": "ffprobe", "pkg-config": "pkg-config", "g++": "g++",
}  # fmt: skip


def say(words: str) -> None:
    """Tell the person what is going on."""
    print(words, flush=True)


def installed(package: str) -> bool:
    """Whether a Debian package is there (under its name or its 64-bit-time name of Debian 13)."""
    compiled = PROGRAM_OF.get(package)
    if compiled is not None and shutil.which(compiled):
        return True
    for name in (package, f"{package}t64"):
        query = ["dpkg-query", "-W", "-f", "${Status}", name]
        found = subprocess.run(query, capture_output=True, text=True, check=False)
        if found.stdout.strip() == "install ok installed":
            return True
    return False


def system(packages: tuple[str, ...], why: str, needed: bool) -> None:
    """Bring system packages on Debian as root; otherwise print the one line to type."""
    if sys.platform != "linux" or shutil.which("dpkg-query") is None:
        return
    missing = [p for p in packages if not installed(p)]
    if not missing:
        return
    line = f"apt-get install -y --no-install-recommends {' '.join(missing)}"
    if hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get"):
        say(f"Bringing {why}: {' '.join(missing)}")
        env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        for command in (
            ["apt-get", "update", "-qq"],
            ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *missing],
        ):
            done = subprocess.run(command, env=env, capture_output=True, text=True, check=False)
            if done.returncode != 0 and command[1] == "install":
                say(f"That did not work: {(done.stderr or done.stdout).strip().splitlines()[-1]}")
                say(f"To do it by hand: {line}")
    else:
        say(f"{'Needed' if needed else 'Worth having'} for {why}; to bring it, type:  sudo {line}")


def install(dev: bool) -> None:
    """Make .venv and install the pinned packages and showcaller itself, unless that is done already."""
    if sys.version_info < (3, 11):  # noqa: UP036 - this file is what an older Python is tried with
        sys.exit(f"showcaller needs Python 3.11 or newer; this is {sys.version.split()[0]}")
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    mark = hashlib.sha256((lock + project + sys.version + str(ROOT)).encode()).hexdigest()
    if STAMP.exists() and PYTHON.exists() and mark in STAMP.read_text(encoding="utf-8"):
        return
    if importlib.util.find_spec("ensurepip") is None:
        system(("python3-venv",), "virtual environments", needed=True)
    say(f"Setting up {VENV.name} (a minute or two the first time)")
    venv.create(VENV, with_pip=True, clear=VENV.exists())
    pip = [str(PYTHON), "-m", "pip", "--disable-pip-version-check", "-q"]
    pins = locked(lock)
    midi = [pin for pin in pins if pin.startswith("python-rtmidi")]
    wanted, wanted_midi = VENV / "wanted.txt", VENV / "wanted-midi.txt"
    wanted.write_text("\n".join(pin for pin in pins if pin not in midi) + "\n", encoding="utf-8")
    wanted_midi.write_text("\n".join(midi) + "\n", encoding="utf-8")
    # Nothing is installed that is not, byte for byte, what was locked.
    checked = [*pip, "install", "--require-hashes", "--no-deps"]
    run_or_exit([*checked, "-r", str(wanted)], "the packages could not be installed")
    if sys.version_info >= (3, 13):
        headers = () if Path(sysconfig.get_path("include"), "Python.h").exists() else ("python3-dev",)
        system((*MIDI_BUILD, *headers), "building MIDI support", needed=False)
    midi_line = [*checked, "-r", str(wanted_midi)]
    done = subprocess.run(midi_line, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        say("MIDI could not be installed; everything else works. On Debian type:")
        say(f"  apt-get install -y {' '.join(MIDI_BUILD)} && {' '.join(midi_line)}")
    run_or_exit([*pip, "install", "--no-deps", "-e", str(ROOT)], "showcaller could not be installed")
    # As pip does for what it copies: without it, where Python is told to keep no byte code, every start would
    # translate all sources anew, a third of the time until a show is open.
    run_or_exit(
        [str(PYTHON), "-m", "compileall", "-q", str(ROOT / "showcaller")], "showcaller does not compile"
    )
    STAMP.write_text(mark + ("\nwith tests\n" if dev else "\n"), encoding="utf-8")


def locked(text: str) -> list[str]:
    """The lock's requirements, each with its hashes, which stand on lines of their own after a backslash."""
    whole = text.replace("\\\n", " ")
    return [" ".join(line.split()) for line in whole.splitlines() if line and not line.startswith("#")]


def run_or_exit(command: list[str], what: str) -> None:
    """Run; on failure say what failed and stop."""
    if subprocess.run(command, check=False).returncode != 0:
        sys.exit(f"{what}; the lines above say why")


def checks() -> int:
    """Everything that must hold; stops at the first that does not."""
    bin_folder = PYTHON.parent
    steps = [
        ("format", [str(bin_folder / "ruff"), "format", "--check", "-q", "."]),
        ("lint", [str(bin_folder / "ruff"), "check", "-q", "."]),
        ("types", [str(PYTHON), "-m", "mypy"]),
        ("rooms", [str(bin_folder / "lint-imports")]),
        ("tests", [str(PYTHON), "-m", "pytest", "-n", "3", *sys.argv[2:]]),
    ]
    for name, command in steps:
        say(f"== {name}")
        done = subprocess.run(command, cwd=ROOT, check=False)
        if done.returncode != 0:
            say(f"{name}: not good")
            return done.returncode
    return 0


def main() -> int:
    """Do what was asked for."""
    task = sys.argv[1] if len(sys.argv) > 1 else ""
    if task in ("", "-h", "--help"):
        say(__doc__ or "")
        return 0 if task else 2
    system(QT_LIBRARIES, "drawing", needed=True)
    if os.environ.get("DISPLAY") or task == "test":
        system(X_LIBRARIES, "windows", needed=True)
    if task in ("demo", "test"):
        system(MIDI_SERVER, "MIDI without a sound card", needed=False)
        if shutil.which("jackd") and not shutil.which("jack_lsp"):
            system(MIDI_TOOLS, "looking at MIDI ports", needed=False)
    if task in ("demo", "desk", "test"):
        system(SOUND, "hearing songs at the desk", needed=False)
    if task == "test":
        system(TEST_PROGRAMS, "the tests' real devices", needed=False)
    install(dev=task == "test")
    if task == "test":
        return checks()
    return subprocess.run([str(PYTHON), "-m", "showcaller", *sys.argv[1:]], check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
