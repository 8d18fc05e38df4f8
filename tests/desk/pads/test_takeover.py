"""A fader takes a value over where it passes it, and never lets it jump."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.desk.pads.takeover import NEAR, Fader, moved

SHARE = st.integers(0, 127).map(lambda n: n / 127)


def test_it_holds_once_it_passes_the_value_and_until_that_is_changed_elsewhere():
    fader = moved(Fader(), 0.2, "a", 0.8)
    assert fader.held is None
    fader = moved(fader, 0.7, "a", 0.8)
    assert fader.held is None
    fader = moved(fader, 0.9, "a", 0.8)
    assert fader.held == 0.9
    fader = moved(fader, 0.5, "a", 0.9)
    assert fader.held == 0.5
    assert moved(fader, 0.4, "a", 0.1).held is None, "a mouse has moved it meanwhile"
    assert moved(fader, 0.4, "b", 0.1).held is None, "another layer is chosen"
    assert moved(fader, 0.05, "b", 0.1).held == 0.05


@given(st.lists(SHARE, min_size=1, max_size=40), SHARE)
def test_no_move_changes_a_value_by_more_than_the_fader_itself_moved(path, present):
    fader = Fader()
    for to in path:
        before = fader.at if fader.at is not None else to
        fader = moved(fader, to, "a", present)
        if fader.held is not None:
            assert abs(fader.held - present) <= abs(to - before) + 2 * NEAR
            present = fader.held
