"""The composing process: asked over its input, its pictures in shared memory."""

import io
import subprocess
import sys
from pathlib import Path

import numpy as np
from walls import SOURCES, full, make_wall

from showcaller.screen.picture import Picture, place
from showcaller.screen.projecting import Projecting, receive, send, shared

WALL = make_wall([200, 120], 160)


def test_values_go_through_a_pipe_one_after_the_other() -> None:
    pipe = io.BytesIO()
    send(pipe, ("wall", WALL))
    send(pipe, {"slot": 1})
    pipe.seek(0)
    assert receive(pipe) == ("wall", WALL)
    assert receive(pipe) == {"slot": 1}
    assert receive(pipe) is None


def test_a_picture_is_made_in_the_slot_that_was_asked_for(tmp_path: Path) -> None:
    memory = shared(tmp_path / "m", 320, 160, make=True)
    answers: list[dict[str, object]] = []
    projecting = Projecting(answers.append)
    projecting.take(("wall", WALL, WALL))
    projecting.take(("sources", tuple(SOURCES), None))
    projecting.take(("memory", tmp_path / "m", 320, 160))
    picture = Picture((place(WALL, full(WALL), "cam-1", 1.0),))
    projecting.take(("shot", picture, 2))
    projecting.close()
    assert answers[0]["slot"] == 2
    assert memory[2].std() > 10
    assert not memory[0].any()
    assert 0 < float(answers[0]["level"]) < 1  # type: ignore[arg-type]


def test_it_ends_when_the_desk_is_gone_and_nothing_gets_between_its_answers(tmp_path: Path) -> None:
    shared(tmp_path / "m", 64, 32, make=True)
    words = [sys.executable, "-m", "showcaller.screen.projecting"]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        for request in (
            ("wall", WALL, WALL),
            ("sources", tuple(SOURCES), tmp_path),
            ("memory", tmp_path / "m", 64, 32),
            ("shot", Picture(()), 0),
        ):
            send(process.stdin, request)
        assert receive(process.stdout)["slot"] == 0
        process.stdin.close()
        assert process.wait(10) == 0
    assert not np.fromfile(tmp_path / "m", np.uint8)[: 64 * 32 * 4].reshape(-1, 4)[:, :3].any()
