"""The sample show: equal to its generator, runnable as written, cautious where work can hurt."""

import importlib
import sys
from collections import Counter, defaultdict
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from showcaller.editing.media import length_of
from showcaller.model import MidiOutlet, OscMessage, Show, Song, WalkOn, read_show, show_text
from showcaller.screen.advice import budgets
from showcaller.screen.clips import Clip
from showcaller.screen.looks import looks_of
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import Plan, compile_plan

FOLDER = Path(__file__).parents[2] / "sample_shows"


@pytest.fixture(scope="module")
def show() -> Show:
    return read_show(FOLDER / "breakwater.json")


@pytest.fixture(scope="module")
def plan(show: Show) -> Plan:
    return compile_plan(show)


def test_the_file_is_what_the_generator_makes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(FOLDER))
    built: Any = importlib.import_module("build_breakwater").build()
    for name in ("build_breakwater", "breakwater_order", "breakwater_rig", "cue_script"):
        monkeypatch.delitem(sys.modules, name)
    assert show_text(built) == (FOLDER / "breakwater.json").read_text(encoding="utf-8")


def test_it_can_be_run_as_written(plan: Plan) -> None:
    assert [str(p) for p in plan.problems] == []


def test_it_ends_before_the_curfew_with_room_for_a_bad_night(show: Show, plan: Plan) -> None:
    assert (show.starts_at, show.curfew) == ("20:45", "23:00")
    assert 95 * 60 <= plan.length_s <= 110 * 60


def test_it_shows_everything_a_show_can_have(show: Show) -> None:
    cues = list(show.all_cues())
    assert 260 <= len(cues) <= 300
    assert 18 <= len(show.items) <= 19
    assert {c.anchor.at for c in cues} == {"bar", "time", "timecode", "after", "visual", "word"}
    assert {c.department for c in cues} == {d.id for d in show.departments}
    assert Counter(c.fires for c in cues)["by itself"] >= 20
    assert {m.kind for c in cues for m in c.messages} == {"osc", "note", "control", "program", "msc", "mmc"}
    assert {i.kind for i in show.items} == {"song", "talk", "walk-on", "changeover"}
    songs = [i for i in show.items if isinstance(i, Song)]
    assert any(m.ramp for s in songs for m in s.tempo)
    assert any(m.meter == "7/8" for s in songs for m in s.meters)
    assert any(not s.tempo for s in songs)
    assert any(s.timecode_start for s in songs)
    assert sum(bool(s.lyrics) for s in songs) >= 2
    assert any(isinstance(i, WalkOn) and i.route for i in show.items)


def test_cue_numbers_rise_through_the_show_in_every_department(show: Show, plan: Plan) -> None:
    seen: dict[str, list[Any]] = defaultdict(list)
    for item in plan.items:
        for planned in item.cues:
            seen[planned.cue.department].append(planned.cue.number)
    for department, numbers in seen.items():
        assert numbers == sorted(numbers), department
    assert any(n % 1 for numbers in seen.values() for n in numbers)


def test_a_caller_can_say_it(plan: Plan) -> None:
    """Goes of one item lie at least six seconds apart (common practice, no source), or are one go."""
    for item in plan.items:
        for before, after in pairwise(item.goes):
            assert after.at_s - before.at_s >= 6, (before.id, after.id)
        assert item.item.length_s - item.goes[-1].at_s >= 10, item.item.id


def test_the_caller_has_time_for_every_word(plan: Plan) -> None:
    """Every warning, standby and go finds its place between the others, as the call sheet counts."""
    sheets = compile_show_calls(plan)
    assert [str(c) for sheet in sheets for c in sheet.collisions] == []
    assert sum(len(sheet.lines) for sheet in sheets) > 250


def test_every_section_and_bar_lies_inside_its_song(plan: Plan) -> None:
    for item in plan.items:
        if item.tempo is not None and isinstance(item.item, Song):
            last = item.item.sections[-1]
            assert item.item.downbeat_s + item.tempo.seconds(last.bar) < item.item.length_s, item.item.id


def test_what_can_hurt_is_called_cleared_and_never_set_going_from_here(show: Show) -> None:
    """RP-002 (MIDI Show Control): it does not replace enables, deadman switches or emergency stops."""
    dangerous = [c for c in show.all_cues() if c.hazard is not None]
    assert {c.department for c in dangerous} == {"moves", "effects"}
    assert all(c.hazard for c in show.all_cues() if c.department in ("moves", "effects"))
    for cue in dangerous:
        assert cue.hazard is not None
        assert cue.fires == "called"
        assert len(cue.needs) >= 2
        assert cue.hazard.responsible
        assert "Local codes" in cue.hazard.caution or "local codes" in cue.hazard.caution
        assert cue.department == "moves" or cue.messages == ()
        addresses = {m.address for m in cue.messages if isinstance(m, OscMessage)}
        assert len(addresses) == len(cue.messages)
        assert addresses <= {"/gantry/notice"}


def test_everything_it_sends_stays_on_this_computer(show: Show) -> None:
    for outlet in show.outlets:
        where = outlet.port if isinstance(outlet, MidiOutlet) else outlet.host
        assert where in ("127.0.0.1", "showcaller-sample")


def test_the_wall_adds_up(show: Show) -> None:
    """42.0 × 10.5 m at a 12 mm pitch is 3500 × 875 px, and the inputs cover it once."""
    wall = show.wall
    assert wall is not None
    pitch = Fraction(12, 1000)
    assert Fraction(str(wall.width_m)) / pitch == wall.width_px
    assert Fraction(str(wall.height_m)) / pitch == wall.height_px
    assert sum(i.width_px * i.height_px for i in wall.inputs) == wall.width_px * wall.height_px
    for look in show.looks:
        for layer in look.layers:
            assert layer.left_m >= 0
            assert layer.left_m + layer.width_m <= wall.width_m + 0.001
    used = {c.look.look for c in show.all_cues() if c.look is not None}
    assert used == {k.id for k in show.looks}
    placed = {layer.source for k in show.looks for layer in k.layers}
    assert placed == {s.id for s in show.sources}


def test_two_side_screens_share_a_rack_that_suffices(show: Show, plan: Plan) -> None:
    """Of the wall's own panels at its 12 mm pitch; a mix of two cameras takes all four channels."""
    sides = show.surfaces[1:]
    assert [(s.stands, s.pool) for s in sides] == [("left", "side-rack"), ("right", "side-rack")]
    for side in sides:
        assert (Fraction(str(side.width_m)) / 12 * 1000, Fraction(str(side.height_m)) / 12 * 1000) == (
            side.width_px, side.height_px)  # fmt: skip
        crop, source = show.looks[3].layers[0].also[0].crop, show.sources[0]
        shape = source.width_px * (1 - crop.left - crop.right) / source.height_px
        assert shape == pytest.approx(side.width_m / side.height_m), "what lies on it is not distorted"
    of_each = [budgets(show, looks_of(plan, n))[1] for n in range(len(plan.items))]
    assert max(one.most for one in of_each) == 4
    assert [s.sentence for one in of_each for s in one.shortages] == []


def test_every_source_is_a_moving_picture_of_its_shape_in_a_few_megabytes(show: Show) -> None:
    for source in show.sources:
        with Clip(FOLDER / str(source.media)) as clip:
            facts = clip.facts
            assert Fraction(facts.width, facts.height) == Fraction(source.width_px, source.height_px)
            assert (facts.rate, facts.length_s >= 5) == (25, True)
            # It moves, and where it begins again it does not jump: the last frame is nearer to the first than
            # one from the middle.
            first, middle, last = (
                clip.frame(n).pixels.astype(np.int16) for n in (0, facts.frames // 3, facts.frames - 1)
            )
            assert abs(first - last).mean() <= abs(first - middle).mean(), source.id
    assert sum(f.stat().st_size for f in (FOLDER / "media").iterdir()) < 8_000_000


def test_a_song_has_a_sound_as_long_as_it_is(show: Show) -> None:
    (song,) = (i for i in show.items if isinstance(i, Song) and i.reference)
    assert abs(length_of(FOLDER, str(song.reference)) - song.length_s) < Fraction(1, 20)
