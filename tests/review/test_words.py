"""The sentence under a run's name."""

from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from night import DOORS, NS, PLAN, Night, plain_night

from showcaller.review.waterfall import GROUPS, Part, PartKind, Waterfall, waterfall
from showcaller.review.words import curfew_wall_ns, duration, no_offer_words, number, summary_sentence
from showcaller.run import commands as c
from showcaller.values import replace


def fall(*parts: Part, finished: bool = True) -> Waterfall:
    # 1 767 214 200 is 2025-12-31 20:50:00 UTC (GNU date -u -d @1767214200).
    start = 1_767_214_200 * NS
    late = sum(p.ns for p in parts if p.kind == "late start")
    length = 7200 * NS + sum(p.ns for p in parts if p.kind != "late start")
    return Waterfall(start, start + late, 7200 * NS, length, parts, finished)


def item(kind: str, seconds: float) -> Part:
    return Part("item", f"{kind}s", kind, round(seconds * NS), kind, kind)


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        (
            (Part("late start", "late start", "late start", 10 * NS), item("song", -12), item("talk", 74),
             item("walk-on", 52)),
            "ended 22:52:04, planned 22:50:00. Two minutes four over: mostly one talk.",
        ),
        (
            (item("song", -12), item("talk", 60), item("walk-on", 52), item("changeover", 24)),
            "ended 22:52:04, planned 22:50:00. Two minutes four over: mostly one talk, one late walk.",
        ),
        ((item("song", -21), item("song", -20)), "ended 22:49:19, planned 22:50:00. "
         "Forty-one seconds under: mostly one song."),
        ((item("song", 21), item("song", 20), item("song", 19), item("song", -10)),
         "ended 22:50:50, planned 22:50:00. Fifty seconds over: mostly two songs."),
        ((Part("hold", "hold: mic", "hold: mic", 60 * NS),),
         "ended 22:51:00, planned 22:50:00. One minute over: mostly a hold for mic."),
        ((Part("cut", "cuts", "Salt", -300 * NS, "salt", "song"),),
         "ended 22:45:00, planned 22:50:00. Five minutes under: mostly one song cut."),
        ((item("talk", 0.4),), "ended 22:50:00, planned 22:50:00. On time."),
        ((item("talk", 30), item("song", -30)), "ended 22:50:00, planned 22:50:00. On time."),
    ],
)  # fmt: skip
def test_the_evening_in_a_sentence(parts: tuple[Part, ...], sentence: str) -> None:
    assert summary_sentence(fall(*parts), UTC) == sentence


def unreached(kind: str, seconds: float, what: PartKind = "not reached") -> Part:
    return Part(what, what, kind, round(-seconds * NS), kind, kind)


NINE = [*[unreached("song", n) for n in (300, 290, 280, 270, 260, 250)], unreached("talk", 90),
        unreached("talk", 60), unreached("walk-on", 45)]  # fmt: skip


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        (NINE, "mostly nine items not reached (six songs, two talks, one walk-on)."),
        (NINE[:6], "mostly six songs not reached."),
        ([unreached("walk-on", 45), unreached("walk-on", 40)], "mostly two walk-ons not reached."),
        ([unreached("song", 200, "cut"), unreached("song", 190, "cut"), unreached("song", 30, "cut")],
         "mostly three songs cut."),
        ([item("song", -700), *NINE[:3]], "mostly three songs not reached."),
        ([unreached("song", 300), unreached("song", 290, "cut"), item("song", -50)],
         "mostly one song not reached, one song cut."),
    ],
)  # fmt: skip
def test_what_was_not_reached_or_cut_is_counted_whole_and_by_its_kind(parts: list[Part], words: str) -> None:
    for order in (parts, parts[::-1]):
        assert summary_sentence(fall(*order, finished=False), UTC).endswith(words)


@given(st.lists(st.sampled_from(list(GROUPS)), min_size=1, max_size=40))
def test_the_number_that_is_said_is_that_of_the_items(kinds: list[str]) -> None:
    sentence = summary_sentence(fall(*(unreached(kind, 60) for kind in kinds), finished=False), UTC)
    assert f"mostly {number(len(kinds))} " in sentence
    assert " not reached" in sentence


def test_a_rehearsal_has_a_length_and_another_zone_another_hour() -> None:
    night = plain_night()
    sentence = summary_sentence(waterfall(PLAN, night.records), UTC)
    assert sentence.startswith("ended ")
    assert "after 11:40, planned 11:33. Seven seconds over: mostly one talk." in sentence
    ahead = timezone(timedelta(hours=2))
    here, there = (
        summary_sentence(waterfall(PLAN, night.records, planned_start_wall_ns=DOORS), zone)[6:8]
        for zone in (UTC, ahead)
    )
    assert (int(there) - int(here)) % 24 == 2


def test_a_run_that_broke_off_is_not_said_to_have_ended() -> None:
    night = Night()
    night.seconds(0, c.Start())
    night.go(5)
    night.go(65)
    assert summary_sentence(waterfall(PLAN, night.records), UTC).startswith("stopped early ")


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "nothing"), (1, "one second"), (40, "forty seconds"), (60, "one minute"),
        (124, "two minutes four"),
        (3600, "one hour"), (3725, "one hour two minutes five"), (7259, "two hours fifty-nine seconds"),
    ],
)  # fmt: skip
def test_durations_are_said_as_on_a_headset(seconds: int, words: str) -> None:
    assert duration(seconds) == words


def test_numbers_in_words() -> None:
    assert [number(n) for n in (0, 13, 20, 21, 59, 60)] == [
        "zero",
        "thirteen",
        "twenty",
        "twenty-one",
        "fifty-nine",
        "60",
    ]


@pytest.mark.parametrize(
    ("start", "curfew", "at"),
    [
        ("2026-07-04 20:45", "23:00", "2026-07-04 23:00"),
        ("2026-07-04 20:45", "00:30", "2026-07-05 00:30"),
        ("2026-07-05 00:15", "02:00", "2026-07-05 02:00"),
        ("2026-10-24 23:30", "03:30", "2026-10-25 03:30"),  # the night the clocks go back in Berlin
    ],
)
@pytest.mark.parametrize("zone", ["UTC", "Europe/Berlin", "America/Los_Angeles"])
def test_the_curfew_is_of_the_same_night(start, curfew, at, zone):
    tz = ZoneInfo(zone)
    start_ns, at_ns = (
        int(datetime.fromisoformat(x).replace(tzinfo=tz).timestamp()) * NS for x in (start, at)
    )
    assert curfew_wall_ns(start_ns, curfew, tz) == at_ns


def test_page_one_says_whether_the_curfew_was_made():
    fall = waterfall(PLAN, plain_night().records, planned_start_wall_ns=DOORS)
    end = datetime.fromtimestamp(round(fall.end_wall_ns / NS), UTC)
    later, earlier = (end + timedelta(minutes=m) for m in (5, -5))
    made = summary_sentence(fall, UTC, later.strftime("%H:%M:%S"))
    assert made.endswith(f"Curfew {later:%H:%M} made, 5:00 in hand.")
    missed = summary_sentence(fall, UTC, earlier.strftime("%H:%M:%S"))
    assert missed.endswith(f"Curfew {earlier:%H:%M} missed by 5:00.")
    assert "Curfew" not in summary_sentence(fall, UTC)


def test_the_plan_holds_is_never_said_beside_minutes_of_overrun():
    fall = waterfall(PLAN, plain_night().records, planned_start_wall_ns=DOORS - 300 * NS)
    assert abs(fall.total_ns) > 60 * NS
    assert "holds" not in no_offer_words(fall)
    assert no_offer_words(replace(fall, parts=())) == "The plan holds: nothing to change."
    assert "stopped early" in no_offer_words(replace(fall, parts=(), finished=False))
