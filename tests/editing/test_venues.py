"""One show, many nights: what a venue gives lies over the show's own, there and back without a loss."""

import json
from datetime import UTC, date, datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from small_shows import document, item
from wall_show import wall_show

from showcaller.editing import ChangeError, Put, SetFields, apply
from showcaller.editing.changes import stored
from showcaller.editing.comparing import compare
from showcaller.editing.exporting.calendar import day_calendar
from showcaller.editing.forms.of_venues import (
    contact_text,
    parse_contact,
    parse_night,
    parse_venue,
    venue_text,
)
from showcaller.editing.venues import add_venue, at_venue, in_calling_order, play_at, venue_of_tonight
from showcaller.model import Contact, DocumentError, Show, Venue, parse_show

ROUTE = {"id": "way", "name": "Way", "legs": [{"name": "Lane", "length_m": 54}]}
LONGER = {"id": "way", "name": "Way", "legs": [{"name": "Tunnel", "length_m": 140}]}


def show() -> Show:
    walk = item("walk", 120, [], kind="walk-on", route="way")
    return parse_show(json.dumps(document([item("s", 60, []), walk], routes=[ROUTE])))


def with_two() -> Show:
    text = "Lantern Hall: starts 19:30; curfew 00:30 next day; Europe/Lisbon"
    made, _ = apply(show(), add_venue(show(), parse_venue(show(), text)))
    other = made.venues[1].id
    made, _ = apply(
        made, SetFields(at=("venues", other), fields={"routes": [LONGER], "nights": ["2026-08-04"]})
    )
    return made


def test_with_the_first_venue_tonights_own_becomes_one() -> None:
    made = with_two()
    assert [v.name for v in made.venues] == [show().venue, "Lantern Hall"]
    own, hall = made.venues
    assert (own.starts_at, own.curfew, own.routes) == (show().starts_at, show().curfew, show().routes)
    assert (hall.starts_at, hall.curfew, hall.time_zone) == ("19:30", "00:30", "Europe/Lisbon")
    assert venue_of_tonight(made) == own


def test_a_night_has_the_venues_times_zone_and_ways_and_its_date() -> None:
    made = with_two()
    there, back = apply(made, play_at(made, made.venues[1].id, "2026-08-04"))
    assert (there.venue, there.date, there.starts_at, there.curfew, there.time_zone) == (
        "Lantern Hall", "2026-08-04", "19:30", "00:30", "Europe/Lisbon"
    )  # fmt: skip
    assert [(r.id, r.legs[0].name) for r in there.routes] == [("way", "Tunnel")]
    assert there.items == made.items
    assert apply(there, back)[0] == made


def test_what_was_changed_on_a_night_is_there_when_one_comes_back() -> None:
    made = with_two()
    made, _ = apply(made, SetFields(at=(), fields={"curfew": "22:45"}))
    own, hall = (v.id for v in made.venues)
    there, _ = apply(made, play_at(made, hall, "2026-08-04"))
    home, _ = apply(there, play_at(there, own))
    assert (home.curfew, home.routes) == ("22:45", made.routes)


@settings(max_examples=60)
@given(st.lists(st.tuples(st.integers(0, 2), st.sampled_from(["21:00", "22:30", "23:59"])), max_size=8))
def test_wherever_one_plays_every_venue_keeps_what_it_had_last(visits: list[tuple[int, str]]) -> None:
    made = with_two()
    made, _ = apply(made, add_venue(made, parse_venue(made, "Salt Works: starts 18:00")))
    kept = {v.id: v.curfew for v in made.venues}
    for n, curfew in visits:
        ident = made.venues[n].id
        made, _ = apply(made, play_at(made, ident))
        assert made.curfew == kept[ident]
        made, _ = apply(made, SetFields(at=(), fields={"curfew": curfew}))
        kept[ident] = curfew
    for a, b in pairwise([*(v.id for v in made.venues), made.venues[0].id]):
        assert at_venue(made, a).curfew == kept[a]
        assert at_venue(made, b).curfew == kept[b]


def test_day_sheet_stage_and_wall_are_those_of_the_place_and_the_channels_tour_along() -> None:
    built = wall_show()
    built, _ = apply(built, add_venue(built, parse_venue(built, "Salt Works: starts 18:00")))
    home, works = (v.id for v in built.venues)
    doors = {"id": "doors", "name": "Doors", "kind": "doors", "starts_at": "18:30", "departments": ["video"]}
    built, _ = apply(built, SetFields(at=(), fields={"day": [doors]}))
    there, _ = apply(built, play_at(built, works))
    assert (there.day, there.surfaces) == (built.day, built.surfaces)  # a new place begins with what there is
    assert there.wall is not None
    one = {"id": "a", "name": "A", "x_px": 0, "y_px": 0, "width_px": 960, "height_px": there.wall.height_px}
    narrow = {"width_m": 10.0, "width_px": 960, "inputs": [one]}
    later = {**doors, "starts_at": "17:00"}
    there, _ = apply(there, SetFields(at=("surfaces", there.wall.id), fields=narrow))
    house = {"stage_width_m": 18.0}
    there, _ = apply(there, SetFields(at=(), fields={"day": [later], "house": house}))
    back, _ = apply(there, play_at(there, home))
    assert (back.day, back.surfaces, back.house) == (built.day, built.surfaces, built.house)
    # The processors tour along: what is changed of them here is so there.
    assert back.wall is not None
    back, _ = apply(back, SetFields(at=("surfaces", back.wall.id), fields={"channels": 3}))
    again, _ = apply(back, play_at(back, works))
    assert again.wall is not None
    assert there.wall is not None
    assert (again.wall.width_m, again.wall.inputs, again.wall.channels) == (10.0, there.wall.inputs, 3)
    assert (again.day[0].starts_at, again.house) == ("17:00", there.house)
    words = " ".join(n.words for n in compare(at_venue(again, home), at_venue(again, works)).notes)
    assert "17:00" in words
    assert "10" in words


def test_a_department_that_is_gone_and_an_input_that_moved_keep_nobody_from_playing_there() -> None:
    built = wall_show()
    doors = {"id": "doors", "name": "Doors", "kind": "doors", "starts_at": "18:30", "departments": ["gone"]}
    extra = [{**stored(d), "id": "gone", "name": "Gone"} for d in built.departments[:1]]
    fields = {"departments": [*map(stored, built.departments), *extra], "day": [doors]}
    built, _ = apply(built, SetFields(at=(), fields=fields))
    built, _ = apply(built, add_venue(built, parse_venue(built, "Salt Works: starts 18:00")))
    home, works = (v.id for v in built.venues)
    there, _ = apply(built, play_at(built, works))
    there, _ = apply(there, SetFields(at=(), fields={"day": [], "departments": fields["departments"][:-1]}))
    back, _ = apply(there, play_at(there, home))
    assert (back.day[0].name, back.day[0].departments) == ("Doors", ())


def test_a_place_renamed_in_the_shows_own_form_is_kept_as_a_venue_of_its_own() -> None:
    made, _ = apply(with_two(), SetFields(at=(), fields={"venue": "The Old Quay", "curfew": "21:15"}))
    there, _ = apply(made, play_at(made, made.venues[1].id))
    kept = next(v for v in there.venues if v.name == "The Old Quay")
    assert kept.curfew == "21:15"


def test_two_venues_are_compared_as_two_editions_are() -> None:
    made = with_two()
    own, hall = (v.id for v in made.venues)
    words = " ".join(n.words for n in compare(at_venue(made, own), at_venue(made, hall)).notes)
    for needed in ("curfew", "starts at", "Lantern Hall", "Way"):
        assert needed in words
    assert not compare(at_venue(made, own), at_venue(made, own)).notes


def test_a_way_of_another_house_needs_clearances_of_this_show() -> None:
    bad = {**LONGER, "legs": [{"name": "Tunnel", "length_m": 1, "clearances": ["nobody"]}]}
    with pytest.raises(ChangeError, match="nobody"):
        apply(with_two(), SetFields(at=("venues", with_two().venues[1].id), fields={"routes": [bad]}))
    with pytest.raises(ChangeError):
        apply(with_two(), Put(at=("venues",), index=0, part=with_two().venues[0].model_dump(mode="json")))


@pytest.mark.parametrize("venue", with_two().venues)
def test_every_line_comes_back_from_its_own_words(venue: Venue) -> None:
    part = parse_venue(with_two(), venue_text(venue), venue)
    assert {**venue.model_dump(mode="json"), **part} == venue.model_dump(mode="json")
    for contact in (Contact(role="Medical", name="Ada", reached="0170 1"), Contact(role="Fire", name="Bo")):
        assert Contact.model_validate(parse_contact(contact_text(contact))) == contact
    assert parse_contact("Medical: Ada Lind 0170 555 0101") == parse_contact(
        "Medical: Ada Lind, 0170 555 0101"
    )


@pytest.mark.parametrize(
    ("read", "text", "words"),
    [
        (lambda t: parse_venue(with_two(), t), "Lantern Hall: starts 20:00", "is there already"),
        (lambda t: parse_venue(with_two(), t), "Hall: starts 25:00", "'25:00' is not a time of day"),
        (lambda t: parse_venue(with_two(), t), "Hall: starts 20:00; curfew 01:00", "next day"),
        (lambda t: parse_venue(with_two(), t), "Hall: when it is dark", "is not understood"),
        (parse_night, "4 August", "is no date; write year, month and day"),
        (parse_night, "2026-02-30", "is no date"),
        (parse_contact, "Ada Lind", "needs what for, a colon and who"),
    ],
)
def test_what_cannot_be_read_gets_a_sentence(read, text, words) -> None:
    with pytest.raises(ChangeError, match=words):
        read(text)


def test_a_date_that_is_none_is_refused_in_the_document() -> None:
    body = json.loads(json.dumps(document([item("s", 60, [])])))
    with pytest.raises(DocumentError, match="no day of the calendar"):
        parse_show(json.dumps({**body, "date": "2026-02-30"}))


def test_medical_security_and_fire_stand_first() -> None:
    roles = ["Promoter", "Fire officer", "Head of security", "First aid", "Medical", "Rigging"]
    found = in_calling_order([Contact(role=role, name="A") for role in roles])
    assert [c.role for c in found] == [
        "Medical",
        "First aid",
        "Head of security",
        "Fire officer",
        "Promoter",
        "Rigging",
    ]


def test_the_curfew_past_midnight_is_in_the_calendar_on_the_next_day_in_the_venues_zone() -> None:
    """Read back by icalendar; Lisbon is an hour behind Berlin."""
    made = with_two()
    there, _ = apply(made, play_at(made, made.venues[1].id, "2026-08-04"))
    zone = ZoneInfo(str(there.time_zone))
    text = day_calendar(there, date.fromisoformat(str(there.date)), zone, datetime.now(UTC))
    events = {str(e["summary"]): e for e in Calendar.from_ical(text).walk("VEVENT")}
    curfew = events["Curfew, Lantern Hall"]["dtstart"].dt
    assert curfew.astimezone(UTC) == datetime(2026, 8, 4, 23, 30, tzinfo=UTC)
    assert curfew.astimezone(zone).date() == date(2026, 8, 5)
