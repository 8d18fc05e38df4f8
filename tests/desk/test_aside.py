"""Work beside the window stands aside while the window is at work, and for no longer than it has worked."""

from showcaller.desk.aside import ASIDE_S, NOTICED_S, TURN_S, StandingAside


class Machine:
    """A clock that stands unless it is moved; while the lock is given away others work for ``others_s``."""

    def __init__(self) -> None:
        self.now_s, self.used_s, self.others_s, self.waits_s = 100.0, 7.0, 0.0, 0.0
        self.slept: list[float] = []
        self.aside = StandingAside(lambda: self.now_s, lambda: self.used_s, self.sleep)

    def sleep(self, seconds: float) -> None:
        self.slept.append(seconds)
        self.now_s += seconds + self.waits_s
        self.used_s += self.others_s

    def work(self, seconds: float) -> None:
        self.now_s += seconds
        self.used_s += seconds
        self.aside()


def test_within_its_turn_it_gives_nothing_away():
    machine = Machine()
    for _ in range(9):
        machine.work(TURN_S / 10)
    assert machine.slept == []


def test_where_nobody_wants_the_lock_it_goes_on_however_late_a_busy_machine_gives_it_back():
    machine = Machine()
    machine.others_s, machine.waits_s = NOTICED_S / 2, TURN_S * 5
    for _ in range(50):
        machine.work(TURN_S * 1.1)
    assert machine.slept == [0] * 50


def test_where_somebody_does_it_stands_aside_and_then_has_a_turn():
    machine = Machine()
    machine.others_s = NOTICED_S * 2
    machine.work(TURN_S * 1.1)
    assert machine.slept == [0, ASIDE_S]
    machine.work(TURN_S / 2)
    assert machine.slept == [0, ASIDE_S]


def test_it_stands_aside_no_longer_than_it_has_worked():
    machine = Machine()
    machine.others_s = NOTICED_S * 2
    for _ in range(1000):
        machine.work(TURN_S * 1.1)
    worked_s, stood_s = 1000 * TURN_S * 1.1, sum(machine.slept)
    assert worked_s - ASIDE_S <= stood_s <= worked_s + ASIDE_S
