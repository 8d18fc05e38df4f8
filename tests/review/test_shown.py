"""'What did I do in the second chorus?' answered from the log."""

from wall_show import wall_show

from showcaller.review.shown import section_at, shown_in
from showcaller.run import commands as c
from showcaller.run.compiled import NS, compile_show
from showcaller.run.machine import first_state, step
from showcaller.run.runlog import Record
from showcaller.timing.plan import compile_plan


def chorus_twice():
    show = wall_show()
    first = show.items[0]
    sections = [
        {"name": "Chorus", "bar": 1}, {"name": "Verse", "bar": 9}, {"name": "Chorus", "bar": 17},
    ]  # fmt: skip
    return compile_plan(show.changed(items=(first.changed(sections=sections), *show.items[1:])))


def records(plan, *given: tuple[float, c.Input]) -> list[Record]:
    compiled = compile_show(plan)
    state, found = first_state(compiled), []
    for n, (at_s, one) in enumerate(given, 1):
        state, out = step(compiled, state, one, round(at_s * NS))
        assert out.refused is None
        found.append(Record(n, round(at_s * NS), 0, one, tuple(out.events)))
    return found


def test_the_second_chorus_is_told_with_its_layers() -> None:
    plan = chorus_twice()
    goes = compile_show(plan).items[0].go_ids
    log = records(
        plan,
        (0, c.Start()),
        (1, c.Go(goes[0])),
        (17, c.Go(goes[1])),
        (33, c.Go(goes[2])),
        (40, c.PutLook("one", "mix", 4.0)),
    )
    found = shown_in(plan, log)
    assert [(s.section, s.bar, s.look, s.how, s.by_hand) for s in found] == [
        ("Chorus 1", 1, "Sea", "cut", False),
        ("Verse", 9, "Wide", "mix over 8 beats", False),
        ("Chorus 2", 17, "Faces", "cut", False),
        ("Chorus 2", 20, "One face", "mix over 4 beats", True),
    ]
    assert found[2].layers == (
        "Hand camera · 20 × 10 m at 20, 0",
        "Roof camera · 20 × 10 m at 0, 0",
    )
    assert found[3].layers == ("Gate camera · 40 × 10 m at 0, 0 · posterize 4",)


def test_a_go_a_breath_early_belongs_to_what_it_opens() -> None:
    planned = chorus_twice().items[0]
    assert section_at(planned, 31.9) == "Chorus 2"
    assert section_at(planned, 31.0) == "Verse"
    assert section_at(chorus_twice().items[1], 5.0) == ""


def test_what_was_played_is_told_by_hand_from_bar_to_bar_a_gesture_a_line() -> None:
    plan = chorus_twice()
    goes = compile_show(plan).items[0].go_ids
    drag = [(40 + n / 10, c.PlayLayer("cam-2", {"left_m": n, "bottom_m": 1}, 3)) for n in range(31)]
    log = records(
        plan, (0, c.Start()), (1, c.Go(goes[0])), (17, c.Go(goes[1])), (33, c.Go(goes[2])), *drag,
        (43.5, c.PlayLayer("cam-3", {"opacity": 0.6}, 3)),
        (50, c.PlayLayer("cam-3", {"hidden": True}, 3)), (60, c.BackToPlan()),
    )  # fmt: skip
    found = [s for s in shown_in(plan, log) if s.by_hand]
    assert [(s.section, s.bar, s.until_bar, s.look, s.how, s.layers) for s in found[:3]] == [
        ("Chorus 2", 20, 22, "Faces", "played", ("Roof camera · at 30, 1",)),
        ("Chorus 2", 22, 22, "Faces", "played", ("Hand camera · 60 %",)),
        ("Chorus 2", 25, 25, "Faces", "played", ("Hand camera · out",)),
    ]
    assert (found[3].look, found[3].how, found[3].bar) == ("Faces", "cut", 30)
