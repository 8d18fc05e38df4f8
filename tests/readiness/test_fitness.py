"""Is this machine fit? Each part on this machine as it is, and on what other machines say of themselves."""

import socket
from pathlib import Path

import pytest
from devices import free_port
from small_shows import cue, document, item
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.model import parse_show
from showcaller.model.document import layout
from showcaller.readiness.finding import Finding
from showcaller.readiness.fitness import fit_tonight, verdict
from showcaller.readiness.machine import timer
from showcaller.readiness.network import ports
from showcaller.readiness.power import load, power
from showcaller.readiness.selftest import Lateness, bare_loop, told
from showcaller.readiness.storage import storage


def put(root: Path, **files: str) -> Path:
    for name, text in files.items():
        path = root / name.replace("__", "/").replace("_0", "0")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    return root


def silent(_command):
    return None


def state_of(findings, what):
    return {f.what: f.state for f in findings}[what]


@pytest.mark.parametrize(
    ("status", "state"), [("Discharging\n", "wrong"), ("Charging", "good"), ("Full", "good")]
)
def test_a_battery_in_use_is_wrong(tmp_path, status, state):
    # Kernel: Documentation/ABI/testing/sysfs-class-power.
    put(
        tmp_path,
        sys__class__power_supply__BAT__type="Battery\n",
        sys__class__power_supply__BAT__status=status,
    )
    assert state_of(power(tmp_path, silent), "power") == state


@pytest.mark.parametrize(
    ("answers", "state"),
    [
        ({"systemctl": "masked"}, "good"),
        ({"busctl": 's "ignore"', "systemctl": "static"}, "good"),
        ({"busctl": 's "suspend"'}, "wrong"),
        ({"busctl": 's "ignore"', "gsettings": "'suspend'"}, "wrong"),
        ({"busctl": 's "ignore"', "gsettings": "'nothing'"}, "good"),
        ({}, "look"),
    ],
)
def test_a_machine_that_goes_to_sleep_is_wrong_and_one_that_does_not_say_is_looked_at(
    tmp_path, answers, state
):
    assert state_of(power(tmp_path, lambda command: answers.get(command[0])), "sleep") == state


@pytest.mark.parametrize(
    ("governor", "driver", "state"),
    [
        ("powersave", "acpi-cpufreq", "look"),
        ("powersave", "intel_pstate", "good"),
        ("performance", "x", "good"),
    ],
)
def test_a_slowed_processor_is_said(tmp_path, governor, driver, state):
    folder = tmp_path / "sys/devices/system/cpu/cpu0/cpufreq"
    folder.mkdir(parents=True)
    (folder / "scaling_governor").write_text(governor)
    (folder / "scaling_driver").write_text(driver)
    assert state_of(power(tmp_path, silent), "power saving") == state


@pytest.mark.parametrize(("average", "state"), [(0.3, "good"), (3.0, "look"), (9.0, "wrong")])
def test_load_by_core(tmp_path, average, state):
    assert state_of(load(tmp_path, average, 4), "load") == state


@pytest.mark.parametrize(("kb", "state"), [(8_000_000, "good"), (600_000, "look"), (100_000, "wrong")])
def test_memory(tmp_path, kb, state):
    (tmp_path / "proc").mkdir()
    (tmp_path / "proc/meminfo").write_text(f"MemTotal: 1 kB\nMemAvailable:   {kb} kB\n")
    assert state_of(load(tmp_path, 0, 1), "memory") == state


def test_a_slow_timer_is_said(tmp_path):
    folder = tmp_path / "sys/devices/system/clocksource/clocksource0"
    folder.mkdir(parents=True)
    (folder / "current_clocksource").write_text("hpet\n")
    assert next(timer(tmp_path)).state == "look"
    assert next(timer()).words.startswith("cues are fired by a clock of")


def test_the_disk_is_written_and_nothing_stays(tmp_path):
    found = list(storage(tmp_path / "not" / "made"))
    assert "a record is written in" in found[0].words
    assert list(tmp_path.iterdir()) == []


def test_memory_and_far_disks_are_said(tmp_path):
    mounts = tmp_path / "mounts"
    mounts.write_text(f"/dev/a / ext4 rw 0 0\nx {tmp_path} tmpfs rw 0 0\n")
    assert "gone when the machine is off" in list(storage(tmp_path, mounts))[-1].words
    mounts.write_text(f"/dev/a / ext4 rw 0 0\nx {tmp_path} nfs4 rw 0 0\n")
    assert "on another machine (nfs4)" in list(storage(tmp_path, mounts))[-1].words


def test_a_disk_that_cannot_be_written_is_wrong():
    (found,) = storage(Path("/proc/self"))  # nobody may make a file there
    assert (found.state, found.do) == ("wrong", "Choose another folder.")


def test_a_port_a_remote_needs_that_another_program_holds_is_wrong():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("127.0.0.1", 0))
        taken = other.getsockname()[1]
        remotes = [{"kind": "osc", "port": p, "allow": ["127.0.0.1"]} for p in (taken, free_port())]
        remotes.append({"kind": "osc", "host": "192.0.2.9", "port": 9, "allow": ["127.0.0.1"]})
        show = parse_show(layout(document([item("s", 10, [cue("a", "1", 0)])], remotes=remotes)))
        found = [f for f in ports(show) if f.what.startswith("remote")]
    assert [f.state for f in found] == ["wrong", "good", "wrong"]
    assert "address already in use" in found[0].words
    assert "cannot assign requested address" in found[2].words


def test_a_bare_loop_stands_beside_the_engine():
    bare = bare_loop(30)
    assert (bare.count, bare.why) == (30, "")
    assert 0 <= bare.p50_ms <= bare.p99_ms < 1000
    words = told(Lateness(200, 0.1, 0.3, 0.9, bare_p99_ms=0.2)).words
    assert words.endswith("the worst 0.90; a bare loop here: 99 of 100 within 0.20, so 1.5 × that.")


def test_one_sentence_says_whether_it_is_fit():
    good, look, wrong = (Finding(s, s, "x", "do") for s in ("good", "look", "wrong"))
    assert verdict([good]).words == "ready for tonight."
    assert (verdict([good, look]).words, verdict([good, look]).do) == ("ready for tonight.", "Check: look.")
    assert verdict([good, look, wrong]).words == "not ready: wrong."


def test_every_part_is_looked_at_and_every_trouble_says_what_to_do(tmp_path):
    found = list(fit_tonight(tmp_path, None, lambda _: Finding("this machine", "good", "x")))
    assert {"load", "power", "sleep", "clock", "timer", "disk", "the record's disk", "ports", "MIDI"} <= {
        f.what for f in found
    }
    assert all(f.do for f in found if f.state != "good")


def test_the_command_says_it_in_words_and_by_its_status(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(app, ["selftest"])
    last = done.stdout.strip().splitlines()[-1]
    assert last.startswith("This machine is ready for tonight.") == (done.exit_code == 0)
    assert "automatic cues were" in done.stdout
    assert list(tmp_path.iterdir()) == []
