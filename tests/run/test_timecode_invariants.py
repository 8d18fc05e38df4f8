"""What holds whatever timecode does: the account of the machine's own invariants, with code in all its moods.

The same ledger as without timecode: no cue twice, none while held, none by itself while the clock stands, the
log alone leads to the same state. A failure names its seed.
"""

import json
from random import Random

import pytest
from test_machine_invariants import CLEARANCES, Driver, random_show

from showcaller.model import parse_show, show_text
from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.run.following import settled

RUNS, STEPS = 60, 200


def coded_show(random):
    """A random show whose songs run on timecode, ten minutes apart or on the same code, one at midnight."""
    body = json.loads(show_text(random_show(random)))
    body["timecode_in"] = {"kind": "mtc", "port": "x", "chase": {"ask_over_s": random.choice([0, 0.5, 1, 5])}}
    for n, song in enumerate(body["items"]):
        start = random.choice([f"01:{10 * n:02}:00:00", "01:00:00:00", "23:59:58:00", None])
        song.pop("route", None)
        song["kind"] = "song"
        song.update({} if start is None else {"timecode_start": start})
        if random.random() < 0.5:
            song["tempo"] = [{"bar": 1, "bpm": random.choice([60, 97, 120])}]
    assert body["clearances"][0]["id"] == CLEARANCES[0]["id"]
    return parse_show(json.dumps(body))


class TimecodeDriver(Driver):
    """Adds timecode, the caller's words on it, and taps."""

    make_show = staticmethod(coded_show)

    def step(self, given):
        before = self.state
        super().step(given)
        if before.stands and before.item == self.state.item and isinstance(given, c.Tick):
            assert self.state.marks == before.marks, "fired by itself while the clock stood"
        if isinstance(given, c.Timecode):
            assert self.state.place == before.place
            assert (self.state.clock_ns is None) == (before.clock_ns is None), (
                "timecode began or ended an item"
            )
            assert settled(self.compiled, self.state, self.now_ns)
        assert self.state.lead in ("stands", "asks") or not self.state.stands
        assert self.state.stands or self.state.lead != "stands"
        if self.state.lead != "hand":
            assert self.state.clock_ns is not None
        if self.state.lead == "timecode":
            self.clock_shows_the_code()

    def clock_shows_the_code(self):
        """To less than half a frame, unless something is held or the code has moved on since."""
        word, item = self.state.timecode, self.compiled.items[self.state.item]
        if self.state.phase == "running" and word.zero_ns is not None:
            timecode_ns = self.now_ns - word.zero_ns - item.timecode_ns
            apart_ns = (timecode_ns - self.state.item_ns(self.now_ns)) % self.compiled.timecode.day_ns
            assert min(apart_ns, self.compiled.timecode.day_ns - apart_ns) < NS / 25 / 2

    def given(self):
        r = self.random
        what = r.random()
        if what < 0.15:
            mode = r.choice(["locked", "locked", "locked", "freewheeling", "holding", "reversing", "waiting"])
            return c.Timecode(mode, self.zero_ns() if mode in ("locked", "freewheeling") else None, "x")
        if what < 0.2:
            return c.TimecodeAnswer(r.random() < 0.6)
        if what < 0.23:
            return c.Follow(r.random() < 0.7)
        if what < 0.27:
            return r.choice([c.Resync(r.randint(0, 20), r.randint(1, 4)), c.Resync(downbeat=True)])
        return super().given()

    def zero_ns(self):
        """Near where the song that is on stands, a jump away, or anywhere at all."""
        r, item = self.random, self.compiled.items[self.state.item]
        if item.timecode_ns is None or r.random() < 0.2:
            return self.now_ns - r.randrange(86_400 * NS)
        off_ns = r.choice([0, 1, 10_000_000, 21_000_000, 400_000_000, 3 * NS, 12 * NS]) * r.choice([-1, 1])
        at_ns = self.state.item_ns(self.now_ns) or r.choice([0, 2 * NS])
        return self.now_ns - (item.timecode_ns + at_ns + off_ns)


@pytest.mark.parametrize("part", range(4))
def test_whatever_timecode_does_the_log_and_the_machine_agree(part):
    seen, leads = set(), set()
    for seed in range(part * RUNS, (part + 1) * RUNS):
        driver = TimecodeDriver(seed)
        try:
            driver.step(c.Start("Ada"))
            for _ in range(STEPS):
                driver.pass_time()
                driver.step(driver.given())
                leads.add(driver.state.lead)
            assert driver.replayed() == driver.state, "the log leads elsewhere"
        except AssertionError as error:
            tail = "\n".join(f"{t / NS:.3f} {text}" for text, t in driver.log[-12:])
            raise AssertionError(f"seed {seed}, step {driver.steps}: {error}\n{tail}") from error
        seen |= driver.ledger.seen
    assert leads == {"hand", "timecode", "stands", "asks"}
    assert {"timecode", "resynced", "fired", "missed", "skipped", "taken_back"} <= seen


def test_the_same_seed_makes_the_same_show():
    assert coded_show(Random(5)) == coded_show(Random(5))
