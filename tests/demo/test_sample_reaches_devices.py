"""The whole sample show, called by a simulated caller at the real engine, as independent programs hear it."""

import re
from pathlib import Path

import pytest
from devices import wait_until
from pythonosc.osc_message import OscMessage as Parsed

from showcaller.calling.headless import run_headless
from showcaller.engine.encode import encode
from showcaller.engine.runfile import read_run
from showcaller.model import MidiOutlet, OscTcpOutlet, OscUdpOutlet, Show, read_show
from showcaller.resources import sample
from showcaller.run import events as ev
from showcaller.run.compiled import compile_show
from showcaller.screen.looks import resolved
from showcaller.screen.sending import messages_of
from showcaller.timing.plan import compile_plan

SPEED = 500.0

pytestmark = [pytest.mark.system, pytest.mark.timeout(180)]


def shown(value: object) -> str:
    """A value as oscdump prints it."""
    if isinstance(value, bool):
        return "#T" if value else "#F"
    if isinstance(value, float):
        return f"{value:.6f}"
    return f'"{value}"' if isinstance(value, str) else str(value)


def expected(show: Show, fired: list[str], outlet: str) -> list[str]:
    """What a device should print for the cues that fired, in that order."""
    cues = {c.id: c for c in show.all_cues()}
    compiled = compile_show(compile_plan(show))
    lines = []
    for cue in fired:
        change = cues[cue].look
        messages = list(cues[cue].messages)
        if change is not None:  # what the show's templates make of the look, after the cue's own
            i, k = compiled.where[cue]
            over_s = compiled.items[i].looks[k].over_s
            messages += [s.message for s in messages_of(show, resolved(show, change), change, over_s)]
        for message in messages:
            if message.outlet != outlet:
                continue
            data = encode(message, show.timecode_rate)
            if message.kind == "osc":
                parsed = Parsed(data)
                lines.append(" ".join([parsed.address, *(shown(v) for v in parsed.params)]))
            else:
                lines.append(data.hex(" "))
    return lines


def without_tags(line: str) -> str:
    """An oscdump line without its time and type tags."""
    parts = re.match(r"^\S+ (\S+) \S*\s?(.*)$", line)
    assert parts is not None, line
    return f"{parts[1]} {parts[2]}".strip()


def told(dump) -> list[str]:
    """What a device heard, but for the cameras' tallies, which hang on no cue."""
    lines = [line for line in dump.lines() if "/tally" not in line]
    return [without_tags(line) if "/" in line else line for line in lines]


def test_every_message_of_the_sample_arrives_in_planned_order(tmp_path: Path, oscdump, midi_dump):
    show = read_show(sample("breakwater.json"))
    port, monitor = midi_dump
    dumps = {}
    outlets = []
    for outlet in show.outlets:
        if isinstance(outlet, MidiOutlet):
            outlets.append(outlet.changed(port=port))
            dumps[outlet.id] = monitor
        else:
            protocol = "tcp" if isinstance(outlet, OscTcpOutlet) else "udp"
            number, dumps[outlet.id] = oscdump(protocol)
            outlets.append(outlet.changed(port=number))
    show = show.changed(outlets=tuple(outlets))
    folder = run_headless(show, tmp_path / "runs", SPEED, seed=3, wall0_ns=0, progress=lambda *_: None)
    records = read_run(folder / "journal").records
    events = [e for r in records for e in r.events]
    fired = [e.cue for e in events if isinstance(e, ev.Fired)]
    assert sorted(fired) == sorted(c.id for c in show.all_cues()), "every cue fired, once"
    assert not [
        e for e in events if isinstance(e, ev.MessagesFailed | ev.Missed | ev.Skipped | ev.CommandRefused)
    ]
    for outlet in show.outlets:
        lines = expected(show, fired, outlet.id)
        assert lines
        dump = dumps[outlet.id]
        count = len(lines)
        complete = wait_until(lambda d=dump, n=count: len(told(d)) >= n)
        if isinstance(outlet, OscUdpOutlet | OscTcpOutlet):
            assert complete, outlet.name
            assert told(dump) == lines, outlet.name
        else:
            # JACK's dummy driver loses an event now and then on a busy machine; the order is what is ours.
            heard = [" ".join(line.split(":", 1)[1].split()) for line in dump.lines()]
            assert count * 0.9 <= len(heard) <= count
            rest = iter(lines)
            assert all(any(h.startswith(x) for x in rest) for h in heard), outlet.name
    tallies = [without_tags(x) for x in dumps["wall-processor"].lines() if "/tally" in x]
    assert {int(x.split()[1]) for x in tallies} == {0, 1, 2}, "without a window too"
    assert {x.split("/")[2] for x in tallies} == {str(n) for n in range(1, 6)}, "of every camera"
