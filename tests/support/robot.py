"""A person at a real keyboard: looks at the run as another desk would, and presses keys with xdotool."""

import subprocess
import time
from collections.abc import Mapping
from pathlib import Path
from random import Random

from devices import program

from showcaller.calling.session import RunSession
from showcaller.calling.simulated import SimulatedCaller
from showcaller.run import commands as c
from showcaller.run.compiled import NS


class Keyboard:
    """Real key and mouse events on a virtual screen."""

    def __init__(self, env: Mapping[str, str]) -> None:
        self._env = dict(env)
        self._xdotool = program("xdotool")

    def _run(self, *args: str) -> str:
        done = subprocess.run(
            [self._xdotool, *args], env=self._env, capture_output=True, text=True, check=False, timeout=20
        )
        return done.stdout

    def window(self, title: str) -> str | None:
        """The id of a visible window, focused; None while there is none."""
        found = self._run("search", "--onlyvisible", "--name", title).split()
        if found:
            self._run("windowfocus", "--sync", found[0])
        return found[0] if found else None

    def press(self, *keys: str, delay_ms: int = 12) -> None:
        self._run("key", "--delay", str(delay_ms), *keys)

    def hold_down(self, key: str, seconds: float) -> None:
        self._run("keydown", key)
        time.sleep(seconds)
        self._run("keyup", key)

    def types(self, text: str) -> None:
        self._run("type", "--delay", "15", text)
        self._run("key", "Return")

    def wheel_and_click(self) -> None:
        self._run("mousemove", "640", "420", "click", "4", "click", "5", "click", "1")


class Robot:
    """Calls a run by keys as a simulated caller decides, and fumbles in between.

    ``fumbles`` counts what was fumbled, by name, so that a test can look for each in the log.
    """

    def __init__(self, keyboard: Keyboard, folder: Path, seed: int) -> None:
        self.keyboard = keyboard
        self.session = RunSession(folder, None)
        self.caller = SimulatedCaller(seed)
        self.random = Random(seed)
        self.fumbles: dict[str, int] = {}
        self._last_go_s = 0.0
        self._next_fumble_s = 0.0

    def call_until(self, stop_s: float, fumble_every_s: float) -> bool:
        """Call until every go has been given (True) or the wall time runs out (False)."""
        until = time.monotonic() + stop_s
        self._next_fumble_s = time.monotonic() + fumble_every_s
        while time.monotonic() < until:
            self.session.poll()
            if self.session.book.state.phase == "idle":
                time.sleep(0.02)
                continue
            act = self.caller.next_act(self.session.book, self.session.now_ns())
            if act is None:
                return True
            wait_s = (self.session.clock.monotonic_of(act.at_ns) - time.monotonic_ns()) / NS
            if wait_s > 0.004:
                if wait_s > 1.2 and time.monotonic() > self._next_fumble_s:
                    self._fumble()
                    self._next_fumble_s = time.monotonic() + fumble_every_s
                else:
                    time.sleep(min(wait_s, 0.01))
                continue
            self._do(act.command)
        return False

    def _do(self, command: c.Command) -> None:
        before = len(self.session.book.records)
        kind = command.kind
        if isinstance(command, c.Go):
            # A hand leaves a moment between two goes; nearer ones are one press.
            time.sleep(max(0.0, self._last_go_s + 0.45 - time.monotonic()))
            self.keyboard.press("g")
            self._last_go_s = time.monotonic()
            if command.confirmed:
                time.sleep(0.25)
                self.keyboard.press("u")
        elif kind == "standby":
            self.keyboard.press("s")
        elif kind == "answer":
            self.keyboard.press("a")
        elif isinstance(command, c.Clear):
            ids = [x.id for x in self.session.book.compiled.plan.show.clearances]
            self.keyboard.press(str(ids.index(command.clearance) + 1))
            if command.value is not None:
                time.sleep(0.15)
                self.keyboard.types(str(command.value))
            else:
                time.sleep(0.3)  # given by two deliberate presses
                self.keyboard.press(str(ids.index(command.clearance) + 1))
        elif kind == "resume":
            self.keyboard.press("p")
        self._wait_for_records(before)

    def _wait_for_records(self, before: int) -> None:
        until = time.monotonic() + 1.5
        while time.monotonic() < until and len(self.session.book.records) == before:
            self.session.poll()
            time.sleep(0.004)

    def _fumble(self) -> None:
        names = [n for n in dir(self) if n.startswith("fumble_")]
        least = min(self.fumbles.get(n, 0) for n in names)
        name = self.random.choice([n for n in names if self.fumbles.get(n, 0) == least])
        self.fumbles[name] = self.fumbles.get(name, 0) + 1
        before = len(self.session.book.records)
        getattr(self, name)()
        self._wait_for_records(before)

    def fumble_hold_and_go_on(self) -> None:
        self.keyboard.press("p")
        time.sleep(0.3)
        self.keyboard.press("shift+h")
        time.sleep(0.2)
        self.keyboard.types("lost the drummer")
        time.sleep(0.2)
        self.keyboard.press("g")  # refused: the show is held
        time.sleep(0.5)
        self.keyboard.press("p")
        self._last_go_s = time.monotonic()

    def fumble_wrong_keys(self) -> None:
        self.keyboard.press("q", "z", "Escape", "Tab", "space", "Return", "Up", "F5", "u", "x")

    def fumble_note_full_of_commands(self) -> None:
        self.keyboard.press("n")
        time.sleep(0.15)
        self.keyboard.types("gsahxx go go bb")

    def fumble_wheel(self) -> None:
        self.keyboard.wheel_and_click()

    def fumble_other_area(self) -> None:
        self.keyboard.press("ctrl+1", "Down", "Right", "ctrl+4", "Left", "ctrl+2", "Right", "ctrl+3")

    def fumble_clock_window(self) -> None:
        self.keyboard.press("ctrl+k")
        time.sleep(0.4)
        if self.keyboard.window("Clocks"):
            self.keyboard.press("g", "g", "Escape")
        time.sleep(0.3)
        self.keyboard.window("Breakwater")

    def fumble_mark_wrong(self) -> None:
        self.keyboard.press("w")

    def fumble_jump_and_leave(self) -> None:
        self.keyboard.press("j")
        time.sleep(0.15)
        self.keyboard.types("undertow")
        time.sleep(0.15)
        self.keyboard.press("Escape")

    def fumble_handover(self) -> None:
        self.keyboard.press("o")
        time.sleep(0.15)
        self.keyboard.types(f"Caller {sum(self.fumbles.values())}")

    def fumble_walk_step(self) -> None:
        self.keyboard.press("l")

    def fumble_half_a_skip(self) -> None:
        self.keyboard.press("x")  # once: nothing may be left out

    def fumble_hazard_key_alone(self) -> None:
        self.keyboard.press("u", "u")

    def fumble_mute_and_unmute(self) -> None:
        for _ in range(2):
            self.keyboard.press("m")
            time.sleep(0.35)
            self.keyboard.press("m")
            time.sleep(0.35)

    def close(self) -> None:
        self.session.close()
