"""Whatever is typed for a look makes one that the show takes, or is one sentence."""

from hypothesis import given
from hypothesis import strategies as st
from wall_show import wall_show

from showcaller.desk.areas.wall.new_look import new_look
from showcaller.desk.areas.wall.rehearsal import Rehearsal
from showcaller.desk.areas.wall.scene import Scenes
from showcaller.editing import ChangeError, apply

SHOW = wall_show()
SCENE = Scenes().rehearsed(SHOW, Rehearsal("gulls"), 0.0)
WORDS = (
    "x at 33 33/9 1:20 -3 0 bar : ; , Sea gate Gate camera left half A B to input 2 mix over 8 slow end cut "
    "posterize 99 4 fade grow after crop 20 % 70% direct flip across from 0:04 in bars hold chorus"
)
LINES = st.lists(st.sampled_from([*WORDS.split(" "), ": ", ", ", "; "]), max_size=16).map(" ".join)


@given(st.one_of(st.text(max_size=40), LINES))
def test_a_look_or_a_sentence(text: str) -> None:
    assert SCENE is not None
    try:
        made = new_look(SHOW, SCENE, SCENE.wall, text)
        changed, back = apply(SHOW, made.change)
    except ChangeError:
        return  # anything else is no sentence, and fails here
    assert changed.looks[-1].name == made.name
    assert apply(changed, back)[0] == SHOW
