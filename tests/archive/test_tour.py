"""What a tour promises, the same on SQLite and on a real PostgreSQL server."""

import hashlib
from threading import Thread

import pytest
from archive_records import EVENING, NS, make_records
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showcaller.archive import Edition, TourError
from showcaller.archive.tour import Tour, digest_of
from showcaller.model import Show, show_text
from showcaller.run.codec import event_from, input_from
from showcaller.run.commands import End
from showcaller.run.runlog import Record
from showcaller.values import replace


def test_it_is_there_again_when_opened(where: str) -> None:
    with Tour.create(where, "Summer, with ü") as made:
        assert (made.editions(), made.runs()) == ([], [])
    with Tour.open(where) as again:
        assert again.name == "Summer, with ü"


def test_equal_documents_are_one_edition(tour: Tour, show: Show) -> None:
    first = tour.add_edition(show, wall_ns=EVENING)
    assert tour.add_edition(Show.model_validate(show.model_dump())) == first
    second = tour.add_edition(show.changed(name="Pier, shorter"))
    assert [e.number for e in tour.editions()] == [1, 2]
    assert first.digest == hashlib.sha256(show_text(show).encode()).hexdigest() == digest_of(show)
    assert first.created_wall_ns == EVENING
    assert tour.show_of(first) == show
    assert tour.show_of(second.number).name == "Pier, shorter"


def test_a_run_comes_back_byte_for_byte(tour: Tour, show: Show) -> None:
    records = make_records()
    run = tour.add_run(tour.add_edition(show), records, run_id="a1")
    back = tour.records(run)
    assert back == records
    assert [r.to_bytes() for r in back] == [r.to_bytes() for r in records]
    assert (run.caller, run.muted, run.simulated, run.finished) == ("Ada", True, 7, True)
    assert (run.started_wall_ns, run.ended_wall_ns) == (EVENING + NS, EVENING + 20 * NS)


def test_its_events_stand_in_order_with_what_is_searched_for(tour: Tour, show: Show) -> None:
    records = make_records()
    run = tour.add_run(tour.add_edition(show), records, run_id="a1")
    events = tour.events(run)
    assert [e.fact for e in events] == [e for r in records for e in r.events]
    assert [(e.seq, e.ordinal) for e in events] == sorted((e.seq, e.ordinal) for e in events)
    fired = tour.events(run, "fired")
    assert {e.kind for e in fired} == {"fired"}
    assert (fired[0].cue, fired[0].planned_s, fired[0].actual_s) == ("hello-lx-3", 3.1, 3.30000000000000004)
    assert fired[0].wall_ns == EVENING + 3 * NS
    assert len(tour.events(run, "fired", "run_ended")) == len(fired) + 1


def test_the_same_journal_never_comes_in_twice(tour: Tour, show: Show) -> None:
    edition = tour.add_edition(show)
    first = tour.add_run(edition, make_records(), run_id="a1")
    assert tour.add_run(edition, make_records(), run_id="a1") == first
    assert tour.add_run(edition, make_records(caller="Bea"), run_id="b2").number == 2
    assert [r.run_id for r in tour.runs()] == ["a1", "b2"]
    assert len(tour.records(first)) == 20


def test_a_journal_that_has_gone_on_is_added_to(tour: Tour, show: Show) -> None:
    edition = tour.add_edition(show)
    whole = make_records(20)
    early = tour.add_run(edition, whole[:9], run_id="a1")
    assert (early.finished, early.records) == (False, 9)
    late = tour.add_run(edition, whole, run_id="a1")
    assert (late.number, late.finished, late.records) == (early.number, True, 20)
    assert tour.records(late) == whole
    assert tour.add_run(edition, whole[:9], run_id="a1") == late


def test_another_journal_under_the_same_id_is_refused(tour: Tour, show: Show) -> None:
    edition = tour.add_edition(show)
    kept = make_records(9, finished=False)
    run = tour.add_run(edition, kept, run_id="a1")
    other = [Record(r.seq, r.t_ns + 1, r.wall_ns, r.input, r.events) for r in make_records(12)]
    with pytest.raises(TourError, match="already with other records; nothing was added"):
        tour.add_run(edition, other, run_id="a1")
    assert tour.records(run) == kept


@pytest.mark.parametrize(
    ("records", "sentence"),
    [
        ([], "no records yet"),
        ([make_records()[0], make_records()[2]], r"record 2 of the run is missing \(found 3\)"),
    ],
)
def test_half_a_run_is_refused_and_nothing_added(
    tour: Tour, show: Show, records: list[Record], sentence: str
) -> None:
    edition = tour.add_edition(show)
    with pytest.raises(TourError, match=sentence):
        tour.add_run(edition, records, run_id="a1")
    assert tour.runs() == []


def test_a_failure_half_way_leaves_nothing_behind(tour: Tour, show: Show) -> None:
    edition = tour.add_edition(show)
    records = make_records(5000)
    broken = Record(5000, 2**70, EVENING, End(), ())  # no database keeps a number of 71 bits
    with pytest.raises(TourError, match="could not do that"):
        tour.add_run(edition, [*records[:-1], broken], run_id="a1")
    assert tour.runs() == []
    assert tour.add_run(edition, records, run_id="a1").records == 5000


def test_what_is_not_here_is_said(tour: Tour, show: Show) -> None:
    edition = tour.add_edition(show)
    stranger = Edition(9, "0" * 64, "Other", 0)
    with pytest.raises(TourError, match="there is no edition 9"):
        tour.show_of(stranger)
    with pytest.raises(TourError, match=r"edition 9 is not in .*; add the edition first"):
        tour.add_run(stranger, make_records(), run_id="a1")
    run = tour.add_run(edition, make_records(), run_id="a1")
    gone = replace(run, run_id="zz")
    with pytest.raises(TourError, match="run 1 is not in"):
        tour.records(gone)


def test_an_items_lengths_across_the_tour(tour: Tour, show: Show) -> None:
    first, second = tour.add_edition(show), tour.add_edition(show.changed(name="Pier 2"))
    tour.add_run(first, make_records(), run_id="a1")
    tour.add_run(second, make_records(30), run_id="b2")
    tour.add_run(second, make_records(30, finished=False), run_id="c3")
    assert [(r.number, r.edition, s) for r, s in tour.item_lengths("hello")] == [(1, 1, 61.25), (2, 2, 61.25)]
    assert tour.item_lengths("never") == []
    assert [r.run_id for r in tour.runs(second)] == ["b2", "c3"]


def test_two_desks_adding_at_once_get_numbers_without_gaps(where: str, show: Show) -> None:
    with Tour.create(where, "Summer") as tour:
        edition = tour.add_edition(show)
    failures: list[Exception] = []

    def add(prefix: str) -> None:
        try:
            with Tour.open(where, wait_s=30) as mine:
                for n in range(4):
                    mine.add_run(edition, make_records(), run_id=f"{prefix}{n}")
        except Exception as error:
            failures.append(error)

    desks = [Thread(target=add, args=(name,)) for name in "ab"]
    for desk in desks:
        desk.start()
    for desk in desks:
        desk.join()
    assert failures == []
    with Tour.open(where) as tour:
        assert [r.number for r in tour.runs()] == list(range(1, 9))


WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
NUMBERS = st.integers(-(2**53), 2**53) | st.floats(allow_nan=False, allow_infinity=False)
JSON = st.recursive(
    st.none() | st.booleans() | NUMBERS | WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3),
    max_leaves=6,
)
EVENTS = st.lists(
    st.fixed_dictionaries({"kind": st.sampled_from(["said", "note", "sent"]), "x": JSON}), max_size=3
)


@given(
    steps=st.lists(
        st.tuples(
            st.integers(0, 2**62), st.dictionaries(st.text("xyz", max_size=2), JSON, max_size=2), EVENTS
        ),
        min_size=1,
        max_size=6,
    )
)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_run_comes_back_as_it_was(
    tmp_path_factory: pytest.TempPathFactory,
    show: Show,
    steps: list[tuple[int, dict[str, object], list[dict[str, object]]]],
) -> None:
    records = [
        Record(n, t, t + 1, input_from(given), tuple(map(event_from, events)))
        for n, (t, given, events) in enumerate(steps, 1)
    ]
    with Tour.create(tmp_path_factory.mktemp("any") / "x.tour", "Any") as tour:
        run = tour.add_run(tour.add_edition(show), records, run_id="a1")
        assert [r.to_bytes() for r in tour.records(run)] == [r.to_bytes() for r in records]
