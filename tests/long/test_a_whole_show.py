"""The sample show called from a real window by real keys: ten minutes at life's speed, then all of it at 8×.

Half an hour in all, so it is not part of the usual run: ``python3 run.py test tests/long -m long -n 0``.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from devices import end_engines, wait_until
from robot import Keyboard, Robot

from showcaller.demo.receiver import Receiver
from showcaller.demo.sample import copy_sample
from showcaller.engine.launch import open_runs
from showcaller.engine.protocol import read_endpoint
from showcaller.engine.runfile import RunFile, read_run
from showcaller.model import read_show
from showcaller.review.notable import notable
from showcaller.review.waterfall import waterfall
from showcaller.run import events as ev
from showcaller.timing.plan import compile_plan

pytestmark = [pytest.mark.long, pytest.mark.timeout(2400)]


def open_desk(show_path: Path, env: dict[str, str], log: Path) -> subprocess.Popen[bytes]:
    with log.open("ab") as out:
        args = [sys.executable, "-m", "showcaller", "desk", str(show_path)]
        return subprocess.Popen(args, env=env, stdout=out, stderr=out)


def open_run(keyboard: Keyboard, runs: Path, known: set[Path], words: list[str]) -> Path:
    keyboard.press("r")
    for word in words:
        keyboard.types(word)
    assert wait_until(lambda: any(p not in known for p in open_runs(runs)), 20)
    folder = next(p for p in open_runs(runs) if p not in known)
    assert wait_until(lambda: read_endpoint(folder) is not None, 20)
    return folder


def nothing_fired_that_should_not_have(run: RunFile) -> None:
    """Every cue once unless taken back; called ones only by a go; hazards only confirmed and cleared."""
    show = compile_plan(read_show_text(run)).show
    cues = {c.id: c for c in show.all_cues()}
    fired: set[str] = set()
    held = False
    for record in run.records:
        for event in record.events:
            kind = event.kind
            if kind == "held":
                held = True
            elif kind == "resumed":
                held = False
            elif kind == "taken_back":
                fired -= set(event.cues)
            elif kind == "fired":
                cue = cues[event.cue]
                assert cue.id not in fired, f"{cue.id} twice"
                fired.add(cue.id)
                assert not held, f"{cue.id} while held"
                assert (event.by == "go") == (cue.fires == "called")
                if event.by == "go":
                    assert record.input.kind == "go"
                if cue.hazard is not None:
                    assert record.input.confirmed, f"{cue.id} without its second key"
    assert fired


def read_show_text(run: RunFile):
    from showcaller.model import parse_show

    return parse_show(run.show_text)


def test_ten_minutes_at_lifes_speed_then_the_whole_show_at_eight_times_it(tmp_path, screen, jack):
    minutes = float(os.environ.get("SHOWCALLER_LONG_MINUTES", "10"))
    show_path = copy_sample(tmp_path)
    show = read_show(show_path)
    runs = tmp_path / "breakwater.runs"
    keyboard, log = Keyboard(screen), tmp_path / "desk.log"
    receiver = Receiver(show)
    desk = open_desk(show_path, screen, log)
    try:
        assert wait_until(lambda: keyboard.window("Breakwater") is not None, 30), log.read_text()
        live = open_run(keyboard, runs, set(), ["Ines", "LIVE"])
        robot = Robot(keyboard, live, seed=5)
        robot.call_until(minutes * 60, fumble_every_s=18)
        keyboard.hold_down("g", 1.2)  # a key held down: one go at most, and the log says which
        keyboard.press("ctrl+e")
        keyboard.types("END")
        assert wait_until((live / "in-the-tour").exists, 30), log.read_text()
        first = robot.fumbles
        robot.close()
        fast = open_run(keyboard, runs, {live}, ["Ines", "MUTE", "8"])
        robot = Robot(keyboard, fast, seed=6)
        assert robot.call_until(1100, fumble_every_s=25), "the show was not called to its end"
        keyboard.press("ctrl+e")
        keyboard.types("END")
        assert wait_until((fast / "in-the-tour").exists, 30), log.read_text()
        robot.close()
    finally:
        desk.kill()
        desk.wait()
        receiver.close()
        end_engines(runs)
    for folder, fumbles in ((live, first), (fast, robot.fumbles)):
        run = read_run(folder / "journal")
        nothing_fired_that_should_not_have(run)
        plan = compile_plan(read_show_text(run))
        kinds = [e.kind for r in run.records for e in r.events]
        told = {n.kind for n in notable(plan, run.records)}
        for fumble, kind in (
            ("fumble_hold_and_go_on", "hold_reason"), ("fumble_note_full_of_commands", "note"),
            ("fumble_mark_wrong", "wrong"), ("fumble_handover", "handed_over"), ("fumble_walk_step", "walk"),
            ("fumble_mute_and_unmute", "muted"),
        ):  # fmt: skip
            if fumbles.get(fumble):
                assert kind in kinds, f"{fumble} left no trace"
        if fumbles.get("fumble_mark_wrong"):
            assert "wrong go" in told
        fall = waterfall(plan, run.records)
        assert fall.total_ns == fall.actual_length_ns - fall.planned_length_ns
    whole = read_run(fast / "journal")
    fired = {e.cue for r in whole.records for e in r.events if isinstance(e, ev.Fired)}
    named = {e.cue for r in whole.records for e in r.events if isinstance(e, ev.Missed | ev.Skipped)}
    assert fired | named == {c.id for c in show.all_cues()}, "a cue was lost without a word"
