"""Where a new cue would hang: always somewhere in the song, wherever the wall is, whatever the song."""

from hypothesis import given
from hypothesis import strategies as st
from wall_show import wall_show

from showcaller.desk.areas.wall.here import anchor, long_since
from showcaller.desk.areas.wall.rehearsal import Rehearsal
from showcaller.desk.areas.wall.scene import Scenes
from showcaller.desk.areas.wall.wallview import wall_view
from showcaller.desk.keys import Keys
from showcaller.editing import SetFields, apply
from showcaller.editing.cues import add_cue
from showcaller.model import LookChange


def scene(at_s: float, downbeat_s: float, tried: bool = False):
    """Gulls, 120 s and 120 bpm, with its bar 1 at ``downbeat_s``; one look comes with its start."""
    show, _ = apply(wall_show(), SetFields(at=("items", "gulls"), fields={"downbeat_s": downbeat_s}))
    early = {"id": "early", "department": "video", "number": "90", "label": "early",
             "anchor": {"at": "time", "seconds": 0}, "look": {"look": "one"}}  # fmt: skip
    cues = [*(c.model_dump(mode="json") for c in show.items[0].cues), early]
    show, _ = apply(show, SetFields(at=("items", "gulls"), fields={"cues": cues}))
    rehearsal = Rehearsal("gulls")
    rehearsal.seek(at_s, 0.0)
    if tried:
        rehearsal.tried["gulls", "early"] = LookChange(look="wide")
    found = Scenes().rehearsed(show, rehearsal, 0.0)
    assert found is not None
    return show, found


@given(st.floats(0, 120), st.floats(0, 240))
def test_a_place_is_always_found_and_the_book_takes_a_cue_there(at_s: float, downbeat_s: float) -> None:
    show, now = scene(at_s, downbeat_s)
    place, instant, words = anchor(now)
    assert 0 <= instant <= 120
    assert words
    apply(show, add_cue(show, "gulls", "video", dict(place), instant, "here")[0])


def test_a_count_in_longer_than_its_song_breaks_no_picture() -> None:
    _, now = scene(50.0, 130.0, tried=True)
    assert long_since(now)
    view = wall_view(now, Keys())
    assert "puts it into a new cue at 50 s" in view.line
