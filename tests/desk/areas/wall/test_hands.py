"""A hand's commands: at most so often, the last value always, again where the engine died with it."""

import pytest
from test_played_kept import played

from showcaller.desk.areas.wall.hands import A_SECOND, TRIES, Hands
from showcaller.run import commands as c
from showcaller.run.playing import look_now
from showcaller.run.state import OnWall
from showcaller.screen.played import PlayedError

ON = played(c.PutLook("wide"))


class Sent(list):
    """What was sent; ``on`` is the wall as the log has it."""

    def __init__(self) -> None:
        super().__init__()
        self.hands, self.on = Hands(), ON

    def play(self, now_s: float, last: bool = False, on: OnWall | None = None, **fields: object) -> None:
        on = on or self.on
        look = look_now_of(on)
        self.hands.play(on, look, "cam-1", fields, now_s, self.append, last)


def look_now_of(on: OnWall):
    from test_played_kept import SHOW

    return look_now(SHOW, on)


def test_sixty_changes_a_second_are_sent_so_often_at_most_and_the_last_at_once() -> None:
    sent = Sent()
    for n in range(121):
        sent.play(n / 60, left_m=float(n), last=n == 120)
        sent.hands.look(ON, n / 60, sent.append)
    assert A_SECOND <= len(sent) <= 2 * A_SECOND + 2
    assert sent[-1] == c.PlayLayer("cam-1", {"left_m": 120.0}, 2)
    assert sent.hands.ahead == {"cam-1": {"left_m": 120.0}}


def test_a_hand_that_rests_without_letting_go_is_sent_as_well() -> None:
    sent = Sent()
    sent.play(0.0, left_m=1.0)
    sent.play(0.01, left_m=2.0)
    sent.hands.look(ON, 0.02, sent.append)
    assert [x.fields["left_m"] for x in sent] == [1.0]
    sent.hands.look(ON, 0.05, sent.append)
    assert [x.fields["left_m"] for x in sent] == [1.0, 2.0]


def test_two_fields_do_not_hold_each_other_up() -> None:
    sent = Sent()
    sent.play(0.0, left_m=1.0)
    sent.play(0.01, opacity=0.5)
    assert [x.fields for x in sent] == [{"left_m": 1.0}, {"opacity": 0.5}]


def test_what_the_log_does_not_have_is_sent_again_a_few_times_but_not_while_nobody_answers() -> None:
    sent = Sent()
    sent.play(0.0, last=True, left_m=1.0)
    sent.hands.look(ON, 5.0, sent.append, answers=False)
    assert len(sent) == 1
    for n in range(10):
        sent.hands.look(ON, 6.0 + n, sent.append)
    assert len(sent) == TRIES
    assert sent.hands.ahead == {}


def test_what_the_log_has_is_drawn_from_there() -> None:
    sent = Sent()
    sent.play(0.0, last=True, left_m=1.0)
    sent.hands.look(played(c.PutLook("wide"), c.PlayLayer("cam-1", {"left_m": 1}, 2)), 0.01, sent.append)
    assert sent.hands.ahead == {}


def test_another_look_ends_what_waits_and_what_can_be_taken_back() -> None:
    sent = Sent()
    sent.play(0.0, left_m=1.0)
    sent.play(0.01, left_m=2.0)
    other = played(c.PutLook("wide"), c.PutLook("wide"))
    sent.hands.look(other, 1.0, sent.append)
    assert [x.fields["left_m"] for x in sent] == [1.0]
    assert sent.hands.undo() is None


def test_a_drag_is_taken_back_whole_and_two_drags_one_by_one() -> None:
    sent = Sent()
    for n in range(30):
        sent.play(n / 60, left_m=float(n))
    sent.play(5.0, left_m=40.0)
    assert sent.hands.undo() == ("cam-1", {"left_m": 15.0})  # as the log of this test has it all the time
    assert sent.hands.undo() == ("cam-1", {"left_m": 15.0})
    assert sent.hands.undo() is None


def test_what_will_not_do_is_not_sent() -> None:
    sent = Sent()
    with pytest.raises(PlayedError, match="opacity is 0 to 1"):
        sent.play(0.0, opacity=3)
    assert sent == []
