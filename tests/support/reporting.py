"""A small show whose lighting desk reports its cues, and what that desk tells."""

from played import Played
from small_shows import DEPARTMENTS, cue, follow, item, show

from showcaller.model import Show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS

REPORTS = [{"kind": "osc", "port": 8000, "allow": ["10.0.0.5"], "address": "/cue/{cue}"}]
OUTLETS = [{"kind": "osc_udp", "id": "u", "name": "Desk", "port": 9000}]


def reporting(**more: object) -> Show:
    """A song of 60 s with cues at 0, 10, 14 (by itself), 20 (of a desk that tells nothing) and 30 s."""
    lights = {**DEPARTMENTS[0], "reports": REPORTS, **more}
    send = [{"kind": "osc", "outlet": "u", "address": "/x"}]
    cues = [
        cue("a", "1", 0), cue("b", "2", 10, messages=send), follow("d", "3", "b", 4),
        cue("v", "1", 20, "video"), cue("e", "4", 30),
    ]  # fmt: skip
    return show([item("song", 60, cues)], departments=[lights, *DEPARTMENTS[1:]], outlets=OUTLETS)


def report(run: Played, t_s: float, cue: str, ago_s: float = 0.0) -> None:
    """The desk tells of a cue; it came in ``ago_s`` before it was logged."""
    number = run.compiled.items[0].planned.cues[run.compiled.where[cue][1]].cue.number
    told = ev.CueReported(
        department="lights",
        cue=cue,
        number=str(number),
        source="OSC from 10.0.0.5",
        at_ns=round((t_s - ago_s) * NS),
    )
    run.at(t_s, c.Report(told))
