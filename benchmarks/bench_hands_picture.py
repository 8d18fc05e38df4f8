"""How soon the picture follows a hand: from the change to the desk having painted it, its engine in between.

``python benchmarks/bench_hands_picture.py [--changes 150]``; about two minutes. The real window on a screen of
1920×1080, the sample show's first song on, a look of four cameras. A layer over the whole wall is taken to opacity 0
and back; a point of the picture says whether the painted one has it. Once by this desk's own hand, which draws
ahead of the log, once by another desk's, whose change comes through engine and log. Beside it, bare: how long
after a request the same process has a picture of the same size made and painted, nothing having changed.

``--surfaces``: a side screen beside the wall, seven layers, six of them on both and one of the six played by a fader
sixty times a second all the while; whether the side screen has the change.
"""

import argparse
import json
import tempfile
import time
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
from bench_engine import Desk, screen
from results import keep_part

from showcaller.engine.client import EngineClient
from showcaller.model import Show
from showcaller.run import commands as c

GAP_S = (0.25, 0.45)


class Eye:
    """Sees at every paint of the wall whether a point of it is lit (its middle, or that of a side screen), and
    when that changed."""

    def __init__(self, desk: Desk, surface: str = "") -> None:
        self.screen = desk.window.wall.screen_
        self.lit: bool | None = None
        self.since_s = 0.0
        self.paints: list[float] = []
        drawn = self.screen.draw

        def draw(paper: Any) -> None:
            drawn(paper)
            now_s, image = time.monotonic(), self.screen._image()
            self.paints.append(now_s)
            if image is None:
                return
            x, y = 0.5, 1 / 3
            if surface:
                area = self.screen.area(surface)
                x, y = area.center().x() / self.screen.width(), area.center().y() / self.screen.height()
            colour = image.pixelColor(int(image.width() * x), int(image.height() * y))
            lit = max(colour.red(), colour.green(), colour.blue()) > 24
            if lit != self.lit:
                self.lit, self.since_s = lit, now_s

        self.screen.draw = draw  # type: ignore[method-assign]


def follow(desk: Desk, eye: Eye, changes: int, client: EngineClient | None) -> dict[str, Any]:
    """Seconds from every change to the first painted picture that has it; lost ones never came within 1 s."""
    random, found, lost = Random(1), [], 0
    state = desk.window.wall.state
    for n in range(changes):
        desk.run_for(random.uniform(*GAP_S))
        opacity, want = (0.0, False) if n % 2 == 0 else (1.0, True)
        number = state.scene.on.number
        began_s = time.monotonic()
        if client is None:
            state.hand.play("cover", {"opacity": opacity})
        else:
            client.post(
                {"kind": "play_layer", "layer": "cover", "fields": {"opacity": opacity}, "number": number}
            )
        desk.run_while(lambda want=want, began=began_s: eye.lit != want and time.monotonic() - began < 1.0)
        if eye.lit == want and eye.since_s >= began_s:
            found.append(eye.since_s - began_s)
        else:
            lost += 1
    return {"changes": changes, "not seen within 1 s": lost, **_quantiles(found)}


def bare(desk: Desk, eye: Eye, changes: int) -> dict[str, Any]:
    """From a moment to the second paint after it: the first may be of a picture that was in the making."""
    random, found = Random(2), []
    for _ in range(changes):
        desk.run_for(random.uniform(0.05, 0.1))
        began_s, count = time.monotonic(), len(eye.paints)
        desk.run_while(lambda count=count: len(eye.paints) < count + 2)
        found.append(eye.paints[count + 1] - began_s)
    return _quantiles(found)


def _quantiles(found: list[float]) -> dict[str, float]:
    p50, p95, worst = (np.quantile(np.array(found), (0.5, 0.95, 1)) * 1000).round(1).tolist()
    return {"p50 ms": p50, "p95 ms": p95, "worst ms": worst}


def look_with_cover(desk: Desk) -> None:
    """Put up a look whose front layer covers the wall; the sample has none, so it is made for tonight."""
    session = desk.window.host.session
    assert session is not None
    show = session.book.compiled.plan.show
    wall = show.wall
    assert wall is not None
    cover = {"id": "cover", "source": show.sources[0].id, "left_m": 0, "bottom_m": 0,
             "width_m": wall.width_m, "height_m": wall.height_m}  # fmt: skip
    part = {"id": "covered", "name": "Covered", "layers": [cover]}
    change = {"do": "put", "at": ["looks"], "index": 0, "part": part}
    session.send(c.ChangeTonight(change, "a look for the bench"))
    desk.run_while(lambda: not session.book.answers)
    session.send(c.PutLook("covered"))
    desk.run_for(1.0)


def with_two(show: Show) -> Show:
    """The sample with a look of six layers on the wall and a side screen, and one in front that covers both."""
    wall = show.wall
    assert wall is not None
    layers = [
        {"id": f"l{n}", "source": show.sources[n % len(show.sources)].id, "left_m": 6 * n, "bottom_m": 0,
         "width_m": 6, "height_m": 5, "opacity": 0.02, "also": [
             {"surface": "side-left", "left_m": n, "bottom_m": n, "width_m": 1, "height_m": 1}]}
        for n in range(6)
    ]  # fmt: skip
    layers.append({
        "id": "cover", "source": show.sources[0].id, "left_m": 0, "bottom_m": 0, "width_m": wall.width_m,
        "height_m": wall.height_m, "also": [
            {"surface": "side-left", "left_m": 0, "bottom_m": 0, "width_m": 6, "height_m": 9}]})  # fmt: skip
    look = {"id": "covered", "name": "Covered", "layers": layers}
    made: Show = show.changed(looks=(*show.looks, look))
    return made


def look_on_two(desk: Desk) -> None:
    """Put that look up."""
    session = desk.window.host.session
    assert session is not None
    session.send(c.PutLook("covered"))
    desk.run_for(1.0)


def fader(desk: Desk) -> Any:
    """Plays one layer's opacity sixty times a second, as a fader does."""
    from showcaller.desk.qt import QTimer

    timer, state, began_s = QTimer(), desk.window.wall.state, time.monotonic()

    def move() -> None:
        share = 0.01 + 0.01 * ((time.monotonic() - began_s) % 1)
        state.hand.move("l3", {"opacity": share})

    timer.timeout.connect(move)
    timer.start(1000 // 60)
    return timer


def main() -> None:
    """Measure, keep."""
    options = argparse.ArgumentParser()
    options.add_argument("--changes", type=int, default=150)
    options.add_argument("--surfaces", action="store_true")
    given = options.parse_args()
    with screen() as where, tempfile.TemporaryDirectory() as name:
        two = given.surfaces
        desk = Desk(Path(name), with_two) if two else Desk(Path(name))
        try:
            desk.run_for(0.5)
            desk.open_run()
            desk.window.show_area("Wall")
            (look_on_two if two else look_with_cover)(desk)
            eye = Eye(desk, "side-left" if two else "")
            moving = fader(desk) if two else None
            desk.run_for(1.0)
            session = desk.window.host.session
            assert session is not None
            found: dict[str, Any] = {"screen": where, "own hand": follow(desk, eye, given.changes, None)}
            with EngineClient(session.folder) as client:
                found["another desk's hand"] = follow(desk, eye, given.changes, client)
            found["bare: a picture asked for, made and painted"] = bare(desk, eye, given.changes)
            if moving is not None:
                moving.stop()
                counted = desk.window.wall.projector.counters()
                found["frames a second, dropped"] = [counted.rate, counted.dropped]
        finally:
            desk.close()
    keep_part("hands", "two surfaces: the picture follows" if two else "the picture follows", found)
    print(json.dumps(found, indent=1))


if __name__ == "__main__":
    main()
