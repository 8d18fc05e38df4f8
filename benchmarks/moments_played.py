"""Fifteen minutes of three songs played by hand, the engine killed again and again: does the log have it all?

``python benchmarks/moments_played.py [--moments 200] [--speed 8]``; about two and a half minutes. A real engine
with the sample show, eight times as fast as life; a hand plays the wall some thirty times a second, looks are put up
and taken back to the plan, and the engine is killed every so often. At random moments the wall is composed as a
desk has it, and afterwards once more from the log on disk, by somebody who was not there; every pixel of every
picture is compared.
"""

import argparse
import json
import os
import signal
import sys
import tempfile
import time
from pathlib import Path
from random import Random
from typing import Any

from results import keep

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from wall_pictures import Afterwards, Composer

from showcaller.calling.session import RunSession, open_session
from showcaller.desk.areas.wall.scene import Scenes
from showcaller.engine.launch import engine_lives, new_run_folder
from showcaller.engine.runfile import read_run
from showcaller.model import parse_show
from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.screen.looks import layer_keys

SAMPLE = Path(__file__).parents[1] / "sample_shows" / "breakwater.json"
SONGS, SONG_S = 3, 300.0
PLAY_EVERY_S = 0.033
KILL_EVERY_S = 25.0
SIZE = (1050, 262)


class Night:
    """The run, the hand on its wall, and what was seen of it."""

    def __init__(self, folder: Path, speed: float, seed: int) -> None:
        self.text = SAMPLE.read_text(encoding="utf-8")
        self.show = parse_show(self.text)
        self.session: RunSession = open_session(new_run_folder(folder, self.text), speed)
        self.random, self.scenes, self.composer = (
            Random(seed),
            Scenes(),
            Composer(self.show, *SIZE, folder=SAMPLE.parent),
        )
        self.kept: list[tuple[int, int, str]] = []
        self.kills = self.plays = 0
        self._asked: str | None = None
        self.session.send(c.Start(caller="bench"))
        self.wait(lambda: self.session.book.state.phase == "running")

    def wait(self, true: Any, seconds: float = 20.0) -> None:
        """Follow the run until something is true."""
        until = time.monotonic() + seconds
        while not true():
            assert time.monotonic() < until, "the engine did not answer"
            self.session.poll()
            time.sleep(0.002)

    def song(self, index: int, moments: list[float]) -> None:
        """Play a song for ``SONG_S`` of its own time; ``moments`` are s into it at which the wall is kept."""
        session, compiled = self.session, self.session.book.compiled
        item = compiled.items[index]
        session.send(c.Jump(item=item.planned.item.id))
        self.wait(lambda: session.book.state.place.item == index)
        session.send(c.Go(go=item.go_ids[0]))
        self.wait(lambda: session.book.state.clock_ns is not None)
        played_s, killed_s = 0.0, time.monotonic()
        while True:
            session.poll()
            book, now_ns = session.book, session.now_ns()
            at_ns = book.state.item_ns(now_ns)
            if at_ns is None or at_ns / NS > SONG_S or book.state.item != index:
                return
            if moments and at_ns / NS >= moments[0]:
                moments.pop(0)
                self.keep(now_ns)
            self.call(item, index, at_ns)
            if time.monotonic() - played_s > PLAY_EVERY_S and session.trouble is None:
                played_s = time.monotonic()
                self.play(now_ns)
            if time.monotonic() - killed_s > KILL_EVERY_S:
                killed_s = time.monotonic()
                self.kill()
            time.sleep(0.001)

    def call(self, item: Any, index: int, at_ns: int) -> None:
        """The next go of the song where it is due; what is not let through is left out."""
        book = self.session.book
        place = book.state.place
        if place.item != index or item.go_at_ns[place.go] > at_ns:
            return
        go = item.go_ids[place.go]
        if go != self._asked:
            self._asked = go
            self.session.send(c.Go(go=go))
        elif book.refused:
            self.session.send(c.Skip(go=go))

    def play(self, now_ns: int) -> None:
        """One change by hand."""
        r, scene = self.random, self.scenes.live(self.session.book, now_ns)
        if scene is None or scene.on is None:
            return
        self.plays += 1
        kind, keys = r.random(), layer_keys(scene.standing.look)
        if kind < 0.01:
            look = r.choice(self.show.looks).id
            self.session.send(c.PutLook(look, r.choice(["cut", "mix", "move"]), r.choice([0.0, 2.0, 8.0])))
        elif kind < 0.015:
            self.session.send(c.BackToPlan())
        elif keys:
            fields = r.choice([
                {"left_m": r.uniform(-5, 40), "bottom_m": r.uniform(-3, 8)}, {"opacity": r.random()},
                {"width_m": r.uniform(2, 40), "height_m": r.uniform(1, 10)}, {"crop": {"left": r.uniform(0, 0.6)}},
                {"source": r.choice(self.show.sources).id}, {"hidden": r.random() < 0.5},
                {"treatments": r.choice([[], [{"kind": "posterize", "levels": 4}]])},
            ])  # fmt: skip
            self.session.send(c.PlayLayer(r.choice(keys), fields, scene.on.number))

    def kill(self) -> None:
        """The engine dies; this desk starts it again."""
        self.kills += 1
        before = len([r for r in self.session.book.records if r.input.kind == "recovered"])
        os.kill(self.session._client.pid, signal.SIGKILL)
        self.wait(lambda: len([r for r in self.session.book.records if r.input.kind == "recovered"]) > before)

    def keep(self, now_ns: int) -> None:
        """The wall as a desk has it now."""
        book = self.session.book
        scene = self.scenes.live(book, now_ns)
        assert scene is not None
        self.kept.append((len(book.records), now_ns, self.composer.digest(scene.picture)))

    def compared(self) -> dict[str, Any]:
        """The run ended, its log read from disk: the same pictures or not."""
        folder = self.session.folder
        self.session.send(c.End(why="over"))
        self.wait(lambda: self.session.book.state.phase == "ended")
        lost = self.session.lost
        self.session.close()
        until = time.monotonic() + 10
        while engine_lives(folder) and time.monotonic() < until:
            time.sleep(0.05)
        records = read_run(folder / "journal").records
        log, fresh = Afterwards(self.show, records), Composer(self.show, *SIZE, folder=SAMPLE.parent)
        again = [fresh.digest(log.picture(seq, now_ns)) for seq, now_ns, _ in self.kept]
        same = sum(a == b for a, (_, _, b) in zip(again, self.kept, strict=True))
        played = sum(e.kind == "layer_played" for r in records for e in r.events)
        return {"moments": len(self.kept), "the same, every pixel": same, "different pictures": len(set(again)),
                "px": list(SIZE), "changes by hand": self.plays, "layers played, on the log": played,
                "records": len(records), "kills": self.kills, "records lost": lost}  # fmt: skip


def main() -> None:
    """Play, compare, keep."""
    options = argparse.ArgumentParser()
    options.add_argument("--moments", type=int, default=200)
    options.add_argument("--speed", type=float, default=8.0)
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as name:
        night = Night(Path(name), given.speed, seed=4)
        items = night.session.book.compiled.items
        songs = sorted(range(len(items)), key=lambda i: (-len(items[i].looks), i))[:SONGS]
        for n, index in enumerate(sorted(songs)):
            count = given.moments // SONGS + (n < given.moments % SONGS)
            longest_s = min(SONG_S, float(items[index].planned.item.length_s)) - 10
            night.song(index, sorted(night.random.uniform(2, longest_s) for _ in range(count)))
        found = night.compared()
    found["songs"] = [items[i].planned.item.name for i in sorted(songs)]
    found["minutes of play"] = round(SONGS * SONG_S / 60, 1)
    keep("moments_played", found)
    print(json.dumps(found, indent=1))
    assert found["the same, every pixel"] == found["moments"] >= given.moments


if __name__ == "__main__":
    main()
