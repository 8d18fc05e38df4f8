"""Editions with names, marks of the day, recordings and remarks, on both databases."""

import json
from typing import get_args

import pytest
from archive_records import EVENING, NS, make_records
from hypothesis import given
from hypothesis import strategies as st

from showcaller.archive import TourError
from showcaller.archive.rows import decoded
from showcaller.archive.tour import Tour
from showcaller.archive.values import DayWhat
from showcaller.model import Show, show_text
from showcaller.run.codec import to_json
from showcaller.run.events import Fired


def test_freezing_says_what_it_led_to(tour: Tour, show: Show) -> None:
    first = tour.freeze(show, "after previews", wall_ns=EVENING)
    assert (first.new, first.edition.label) == (True, "after previews")
    assert first.words == "Frozen as edition 1, 'after previews'."
    again = tour.freeze(show, "after previews")
    assert (again.new, again.edition.names) == (False, ("after previews",))
    assert again.words == "This is edition 1, 'after previews', already; nothing has changed since."
    also = tour.freeze(show, "press night")
    assert (
        also.words
        == "The same as edition 1, also called 'after previews': it is now called 'press night' too."
    )
    assert also.edition.names == ("after previews", "press night")
    assert tour.editions() == [also.edition]
    assert tour.document_of(1) == show_text(show)


def test_a_name_is_one_editions(tour: Tour, show: Show) -> None:
    tour.freeze(show, "opening")
    other = show.changed(name="Pier 2")
    with pytest.raises(TourError, match=r"edition 1 is called 'opening' already; nothing was changed"):
        tour.freeze(other, "opening")
    assert len(tour.editions()) == 1
    assert tour.freeze(other, "second").edition.number == 2
    with pytest.raises(TourError, match="needs a name"):
        tour.freeze(show, "  ")
    with pytest.raises(TourError, match="at most 80 characters"):
        tour.freeze(show, "x" * 81)


def test_marks_of_the_day_are_added_and_a_difference_is_said(tour: Tour) -> None:
    assert tour.mark_day("2026-07-04", "doors", "began", by="Ada", wall_ns=EVENING).words == ""
    said = tour.mark_day("2026-07-04", "doors", "began", by="Ben", wall_ns=EVENING + 180 * NS)
    assert said.words.startswith("Ada had logged ")
    assert "both are kept" in said.words
    tour.mark_day("2026-07-05", "doors", "began", by="Ada")
    kept = tour.day_marks("2026-07-04")
    assert [(m.item, m.by, m.wall_ns) for m in kept] == [
        ("doors", "Ada", EVENING), ("doors", "Ben", EVENING + 180 * NS),
    ]  # fmt: skip
    assert len(tour.day_marks()) == 3


@pytest.mark.parametrize("what", get_args(DayWhat))
def test_every_mark_of_the_day_is_kept_on_both_databases(tour: Tour, what: DayWhat) -> None:
    tour.mark_day("2026-07-04", "doors", what, by="Ada", wall_ns=EVENING)
    assert [m.what for m in tour.day_marks("2026-07-04")] == [what]


def test_a_word_that_is_no_mark_is_refused_with_those_that_are(tour: Tour) -> None:
    with pytest.raises(TourError, match=r"began or ended .*, not 'late'"):
        tour.mark_day("2026-07-04", "doors", "late", by="Ada")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("day", "item", "what", "by", "sentence"),
    [
        ("4 July", "doors", "began", "Ada", "'4 July' is not a date"),
        ("2026-02-30", "doors", "began", "Ada", "'2026-02-30' is not a date"),
        ("2026-07-04", "doors", "opened", "Ada", "a schedule entry is marked .*, not 'opened'"),
        ("2026-07-04", "doors", "began", " ", "who says so"),
    ],
)
def test_a_mark_that_will_not_do_is_refused(
    tour: Tour, day: str, item: str, what: str, by: str, sentence: str
) -> None:
    with pytest.raises(TourError, match=sentence):
        tour.mark_day(day, item, what, by=by)  # type: ignore[arg-type]
    assert tour.day_marks() == []


def test_a_recording_and_remarks_belong_to_a_run(tour: Tour, show: Show) -> None:
    run = tour.add_run(tour.add_edition(show), make_records(), run_id="a1")
    tour.set_recording(run, "/videos/a.mov", -2 * NS, "tap", by="Ada", wall_ns=1)
    tour.set_recording(run, "/videos/b.mov", 5 * NS, "timecode", wall_ns=2)
    tour.set_recording(run, "/videos/a.mov", -3 * NS, "by hand", wall_ns=3)
    assert [(r.path, r.zero_ns, r.how) for r in tour.recordings(run)] == [
        ("/videos/a.mov", -3 * NS, "by hand"), ("/videos/b.mov", 5 * NS, "timecode"),
    ]  # fmt: skip
    tour.add_remark(run, 9 * NS, "look at the riser", by="Ben")
    tour.add_remark(run, 4 * NS, "a finger caught", kind="injury", by="Ada")
    assert [(r.t_ns, r.kind, r.text) for r in tour.remarks(run)] == [
        (4 * NS, "injury", "a finger caught"), (9 * NS, "note", "look at the riser"),
    ]  # fmt: skip
    assert tour.all_remarks() == {1: tour.remarks(run)}
    with pytest.raises(TourError, match="needs a word"):
        tour.add_remark(run, 0, " ")
    with pytest.raises(TourError, match="not 'gossip'"):
        tour.add_remark(run, 0, "x", kind="gossip")  # type: ignore[arg-type]


def test_what_tells_of_all_runs_comes_in_one_answer(tour: Tour, show: Show) -> None:
    edition = tour.add_edition(show)
    for name in "abc":
        tour.add_run(edition, make_records(), run_id=name)
    told = tour.telling("item_ended")
    assert [(run.number, [e.kind for e in events]) for run, events in told] == [
        (n, ["item_ended"]) for n in (1, 2, 3)
    ]
    assert {e.kind for _, events in tour.telling() for e in events} == {"item_started", "item_ended"}
    with pytest.raises(ValueError, match="'fired' is not asked of a whole tour"):
        tour.telling("fired")


def test_as_records_and_as_firings_it_is_what_each_run_has(tour: Tour, show: Show) -> None:
    edition = tour.add_edition(show)
    runs = [tour.add_run(edition, make_records(20 + n), run_id=f"r{n}") for n in range(3)]
    for (run, events), (same, records) in zip(tour.telling(), tour.telling_records(), strict=True):
        assert run == same
        assert [(r.seq, r.t_ns, r.wall_ns, r.events) for r in records] == [
            (e.seq, e.t_ns, e.wall_ns, (e.fact,)) for e in events
        ]
    for run, fired in tour.firings(runs[1:]):
        whole = [e for record in tour.records(run) for e in record.events]
        assert fired == [e for e in whole if isinstance(e, Fired)]
        assert len(fired) >= 6
    with pytest.raises(ValueError, match="'fired' is not asked of a whole tour"):
        tour.telling_records("fired")


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda x: st.lists(x) | st.dictionaries(st.text(), x),
)


@given(st.lists(json_values))
def test_texts_read_in_one_go_are_what_each_is_alone(values: list[object]) -> None:
    texts = [to_json(value) for value in values]
    assert decoded(texts) == [json.loads(text) for text in texts]


@pytest.mark.parametrize("texts", [["1,2"], ["{}", "{"], ["", "1"], ["1],[2", "3"]])
def test_a_text_that_is_none_or_two_is_refused(texts: list[str]) -> None:
    with pytest.raises(TourError, match=r"is damaged \(it is no JSON|it holds more"):
        decoded(texts)


def test_the_index_is_used(tour: Tour, show: Show) -> None:
    """Judged by the database's own account of what it would do."""
    tour.add_run(tour.add_edition(show), make_records(5000), run_id="a1")
    from sqlalchemy import text

    from showcaller.archive.tables import TELLING_SQL

    lite = tour.place.path is not None
    with tour.writing() as connection:
        connection.execute(text("ANALYZE"))
        query = f"SELECT body FROM events WHERE {TELLING_SQL} ORDER BY run_id, seq, ordinal"
        lines = connection.execute(text(("EXPLAIN QUERY PLAN " if lite else "EXPLAIN ") + query)).all()
    assert "ix_events_telling" in " ".join(str(line) for line in lines)


def test_the_place_of_an_edition_is_that_of_its_show_and_read_once(tour: Tour, show: Show) -> None:
    doors = {"id": "doors", "name": "Doors", "kind": "doors", "starts_at": "18:30"}
    there = show.changed(time_zone="Pacific/Honolulu", day=[doors])
    for one in (show, there):
        number = tour.freeze(one, one.time_zone or "nowhere").edition.number
        place = tour.place_of(number)
        assert (place.time_zone, place.day) == (one.time_zone, one.day)
        assert tour.place_of(number) is place
    with pytest.raises(TourError, match="there is no edition 9"):
        tour.place_of(9)
