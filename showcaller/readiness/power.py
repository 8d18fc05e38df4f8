"""Whether this machine will stay awake and at speed: power, sleep, governor, load and memory.

Only what a system says is used (Linux: sysfs, systemd, GNOME's settings); silence is said too.
"""

import os
import subprocess
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from showcaller.readiness.finding import Finding

Ask = Callable[[Sequence[str]], str | None]
"""Runs a program of the system: what it printed, None if it is not there or does not answer."""

LOADED, CROWDED = 0.7, 1.5
"""Work for each core that is said, and that is too much (common practice, no source)."""

LEAST_MB, ENOUGH_MB = 300, 1000
_GNOME = ("gsettings", "get", "org.gnome.settings-daemon.plugins.power", "sleep-inactive-ac-type")
_LOGIND = (
    "busctl", "get-property", "org.freedesktop.login1", "/org/freedesktop/login1",
    "org.freedesktop.login1.Manager", "IdleAction",
)  # fmt: skip


def ask(command: Sequence[str]) -> str | None:
    """The first line a program prints, within two seconds."""
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=2, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return None
    return done.stdout.strip().splitlines()[0] if done.stdout.strip() else None


def power(root: Path = Path("/"), asked: Ask = ask) -> Iterator[Finding]:
    """Mains, sleep and governor. ``root`` is where the system's own files are."""
    supplies = [p for p in (root / "sys/class/power_supply").glob("*") if _read(p / "type") == "Battery"]
    if any(_read(p / "status") == "Discharging" for p in supplies):
        yield Finding("power", "wrong", "this machine runs on its battery.", "Plug in the power.")
    else:
        yield Finding("power", "good", "on the mains." if supplies else "no battery is being used.")
    yield _sleep(asked)
    governors = {_read(p) for p in root.glob("sys/devices/system/cpu/cpu*/cpufreq/scaling_governor")}
    driver = _read(root / "sys/devices/system/cpu/cpu0/cpufreq/scaling_driver")
    # With these two drivers 'powersave' is the ordinary setting and speeds up at once (kernel: intel_pstate).
    if "powersave" in governors and driver not in ("intel_pstate", "amd-pstate-epp"):
        words = "the processor is kept at its lowest speed (governor 'powersave')."
        yield Finding("power saving", "look", words, "Set it to 'performance' for the show.")
    elif governors:
        yield Finding(
            "power saving", "good", f"the processor's governor is '{', '.join(sorted(governors))}'."
        )


def _sleep(asked: Ask) -> Finding:
    if asked(("systemctl", "is-enabled", "sleep.target")) == "masked":
        return Finding("sleep", "good", "this machine cannot be put to sleep.")
    said = []
    action = asked(_LOGIND)
    if action is not None:
        said.append(action.partition(" ")[2].strip('"') or action)
    desktop = asked(_GNOME)
    if desktop is not None:
        said.append(desktop.strip("'"))
    sleepy = [word for word in said if word in ("suspend", "hibernate", "hybrid-sleep", "poweroff", "halt")]
    if sleepy:
        words = f"left alone, this machine goes to '{sleepy[0]}'."
        return Finding("sleep", "wrong", words, "Switch that off in the system's power settings.")
    if not said:
        words = "this system does not say whether it goes to sleep by itself."
        return Finding("sleep", "look", words, "Look in its power settings; it must stay awake.")
    return Finding("sleep", "good", "left alone, this machine stays awake.")


def load(root: Path = Path("/"), average: float | None = None, cores: int | None = None) -> Iterator[Finding]:
    """How busy this machine is with other work, and how much memory is left."""
    if average is None:
        average = os.getloadavg()[0] if hasattr(os, "getloadavg") else None
    cores = cores or os.cpu_count() or 1
    if average is not None:
        words = f"{average:.1f} programs at work on {cores} cores over the last minute."
        if average / cores > CROWDED:
            yield Finding("load", "wrong", words, "Close other programs.")
        elif average / cores > LOADED:
            yield Finding("load", "look", words, "Close what is not needed for the show.")
        else:
            yield Finding("load", "good", words)
    free_mb = _free_mb(root)
    if free_mb is not None:
        words = f"{free_mb} MB of memory are free."
        if free_mb < LEAST_MB:
            yield Finding("memory", "wrong", words, "Close other programs.")
        else:
            enough = free_mb >= ENOUGH_MB
            yield (
                Finding("memory", "good", words)
                if enough
                else Finding("memory", "look", words, "Close what is not needed.")
            )


def _free_mb(root: Path) -> int | None:
    for line in _read(root / "proc/meminfo").splitlines():
        if line.startswith("MemAvailable:"):
            return int(line.split()[1]) // 1024
    return None


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return ""
