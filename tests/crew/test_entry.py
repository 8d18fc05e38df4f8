"""Getting in: link and PIN together, both withdrawn at once; wrong ones cost time."""

import json
import math

from hypothesis import given
from hypothesis import strategies as st

from showcaller.crew.attempts import ALL_EVERY_S, ALL_FREE, FREE, LONGEST_WAIT_S, MOST_ADDRESSES, WrongTries
from showcaller.crew.entry import (
    LINK_LASTS_S,
    LONGEST_NAME,
    SESSION_LASTS_S,
    Door,
    as_typed,
    new_link_secret,
    plain_name,
)


def test_link_and_pin_let_in_and_neither_alone_does():
    door = Door.new()
    link = door.invite("", 0)
    assert len(door.pin) == 6
    assert door.pin.isdecimal()
    assert door.let_in(link.secret, "000000" if door.pin != "000000" else "111111", "Kim", 1) is None
    assert door.let_in("x", door.pin, "Kim", 1) is None
    session, cookie = door.let_in(link.secret, door.pin, "Kim", 1)
    assert door.session_of(cookie, 2) == session
    assert door.session_of("", 2) is None
    assert cookie not in json.dumps(door.as_data())


def test_a_link_and_a_session_expire():
    door = Door.new()
    link = door.invite("d:lights", 0)
    _, cookie = door.let_in(link.secret, door.pin, "Kim", 1)
    assert door.let_in(link.secret, door.pin, "Kim", LINK_LASTS_S + 1) is None
    assert door.session_of(cookie, SESSION_LASTS_S) is not None
    assert door.session_of(cookie, SESSION_LASTS_S + 2) is None


def test_a_link_that_is_withdrawn_puts_out_who_came_by_it_and_nobody_else():
    door = Door.new()
    first, second = door.invite("", 0), door.invite("d:video", 0)
    _, one = door.let_in(first.secret, door.pin, "Kim", 1)
    _, other = door.let_in(second.secret, door.pin, "Mo", 1)
    door.withdraw(first.id)
    assert door.session_of(one, 2) is None
    assert door.session_of(other, 2) is not None
    assert door.let_in(first.secret, door.pin, "Kim", 2) is None
    pin = door.pin
    door.withdraw_all()
    assert door.session_of(other, 2) is None
    assert door.let_in(second.secret, pin, "Mo", 2) is None


def test_a_link_for_a_position_is_for_that_one_alone():
    door = Door.new()
    fixed, _ = door.let_in(door.invite("d:video", 0).secret, door.pin, "Kim", 1)
    free, _ = door.let_in(door.invite("", 0).secret, door.pin, "Mo", 1)
    assert (fixed.position, free.position) == ("d:video", "")
    assert door.take_position(fixed.id, "d:lights") is None
    assert door.take_position(free.id, "d:lights").position == "d:lights"


def test_what_is_kept_comes_back_as_it_was():
    door = Door.new()
    link = door.invite("", 0)
    _, cookie = door.let_in(link.secret, door.pin, "Kim", 1)
    again = Door.from_data(json.loads(json.dumps(door.as_data())))
    assert (again.pin, again.links, again.sessions) == (door.pin, door.links, door.sessions)
    assert again.session_of(cookie, 2) is not None


def test_a_link_is_read_off_the_screen_and_typed_without_doubt():
    """Which signs are confused: common practice, no source."""
    made = [new_link_secret() for _ in range(300)]
    signs = set("".join(made)) - {"-"}
    assert not signs & set("0Oo1IiLl")
    assert "".join(made).islower()
    assert len(set(made)) == len(made)
    assert len(made[0].replace("-", "")) * math.log2(len(signs)) >= 110


def test_a_link_may_be_typed_in_capitals_and_without_its_hyphens():
    door = Door.new()
    link = door.invite("", 0)
    for typed in (link.secret.upper(), link.secret.replace("-", ""), f" {link.secret.replace('-', ' ')} "):
        assert door.let_in(typed, door.pin, "Kim", 1) is not None
    assert door.let_in(link.secret[:-1], door.pin, "Kim", 1) is None


@given(st.text(st.sampled_from("abC-_ 9")))
def test_a_link_of_before_an_update_still_lets_in(secret):
    door = Door.from_data(Door(pin="123456").as_data() | {"links": [
        {"id": "x", "secret": f"x{secret}", "position": "", "until_s": 9.0}
    ]})  # fmt: skip
    assert door.let_in(f"x{secret}", "123456", "Kim", 1) is not None
    assert as_typed(as_typed(secret)) == as_typed(secret)


@given(st.text())
def test_any_name_becomes_one_short_line_that_can_be_seen(name):
    plain = plain_name(name)
    assert len(plain) <= LONGEST_NAME
    assert plain.isprintable()
    assert plain == plain.strip()


@given(st.text(), st.text())
def test_nothing_that_is_typed_gets_in_or_breaks_it(link, pin):
    door = Door.new()
    door.invite("", 0)
    assert door.let_in(link, pin, "Kim", 1) is None


def test_wrong_ones_from_one_address_wait_longer_each_time_and_others_do_not():
    attempts = WrongTries()
    waits = []
    now_s = 0.0
    for _ in range(14):
        attempts.wrong("a", now_s)
        waits.append(attempts.wait_s("a", now_s))
        now_s += waits[-1]
    assert waits[: FREE - 1] == [0] * (FREE - 1)
    assert waits[FREE - 1 :] == sorted(waits[FREE - 1 :])
    assert max(waits) == LONGEST_WAIT_S
    assert attempts.wait_s("b", now_s) == 0
    attempts.right("a")
    assert attempts.wait_s("a", now_s) == 0


def test_a_thousand_wrong_ones_from_a_thousand_addresses_take_more_than_an_hour():
    attempts = WrongTries()
    now_s, tried = 0.0, 0
    while tried < 1000:
        address = f"10.0.{tried // 250}.{tried % 250}"
        now_s += attempts.wait_s(address, now_s)
        attempts.wrong(address, now_s)
        tried += 1
    assert now_s >= (1000 - ALL_FREE) * ALL_EVERY_S * 0.99
    assert now_s > 3600


def test_without_a_link_nobody_can_keep_the_crew_out():
    attempts = WrongTries()
    for n in range(5000):
        attempts.wrong(f"10.{n // 250}.0.{n % 250}", 1.0, in_all=False)
    assert attempts.wait_s("192.168.1.7", 1.0) == 0
    assert len(attempts._by_address) <= MOST_ADDRESSES
