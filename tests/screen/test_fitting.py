"""Whether a look fits, asked before it is put up."""

from wall_show import wall_show

from showcaller.model import LookChange
from showcaller.screen.fitting import fit
from showcaller.screen.looks import BLACK, looks_of
from showcaller.timing.plan import compile_plan

SHOW = wall_show()
GULLS = compile_plan(SHOW).items[0]
SEA, WIDE, FACES, ONE = SHOW.looks


def test_a_cut_needs_what_the_look_needs_and_a_mix_what_both_do() -> None:
    # Cameras over two inputs each: four channels; one over all four: four more while both are on the wall.
    cut = fit(SHOW, GULLS, FACES, ONE, LookChange(look="one"))
    assert (cut.fits, cut.needed, cut.words) == (True, 4, "fits: 4 of 6 channels")
    mix = fit(SHOW, GULLS, FACES, ONE, LookChange(look="one", by="mix", beats=8))
    assert (mix.fits, mix.needed) == (False, 8)
    assert mix.words.startswith("two channels short while “Faces” mixes into “One face”. A cut there")


def test_it_agrees_with_the_budget_of_the_plan_where_the_plan_has_the_same_change() -> None:
    from showcaller.screen.advice import budget

    looks = looks_of(compile_plan(SHOW), 0)
    change = looks.standing[-1].change
    assert fit(SHOW, GULLS, FACES, ONE, change).needed == max(
        level.count for level in budget(SHOW, looks).graph if level.start_s >= looks.standing[-1].at_s
    )


def test_what_is_off_the_wall_or_not_passed_on_directly_is_said() -> None:
    away = WIDE.changed(layers=(WIDE.layers[0], WIDE.layers[1].changed(left_m=50)))
    assert fit(SHOW, GULLS, BLACK, away, LookChange(look="wide")).words == (
        "fits: 0 of 6 channels; Gate camera lies off the wall"
    )
    faded = SEA.changed(layers=(SEA.layers[0].changed(opacity=0.5),))
    assert (
        "Sea not direct: it is not at full opacity"
        in fit(SHOW, GULLS, BLACK, faded, LookChange(look="sea")).words
    )
