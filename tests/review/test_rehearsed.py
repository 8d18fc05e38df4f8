"""What was run and what is otherwise since, from a tour of real runs on both databases."""

from night import SHOW, Night, plain_night

from showcaller.archive.tour import Tour
from showcaller.editing import SetFields, apply
from showcaller.review.rehearsed import rehearsed, summary
from showcaller.run import commands as c


def states(tour, book):
    def show_of(number):
        return tour.show_of(next(e for e in tour.editions() if e.number == number))

    found = rehearsed(book, tour.cues_fired(), show_of)
    return {one.cue.id: (one.state, one.times, one.changed) for one in found}, summary(found)


def test_never_run_changed_since_and_run(tmp_path):
    with Tour.create(tmp_path / "t.tour", "Pier") as tour:
        book = SHOW
        assert {state for state, _, _ in states(tour, book)[0].values()} == {"never run"}
        edition = tour.add_edition(book)
        tour.add_run(edition, plain_night().records, run_id="one")
        tour.add_run(edition, plain_night().records, run_id="two")
        found, words = states(tour, book)
        assert found["s1"] == ("run", 2, ())
        assert found["t1"] == ("run", 2, ())
        never = [cue for cue, one in found.items() if one[0] == "never run"]
        count = len(found)
        assert words.startswith(f"{count - len(never)} of {count} cues have been run; {len(never)} never, 0 ")
        song = ("items", "song", "cues")
        elsewhere = {"anchor": {"at": "time", "seconds": 61}}
        moved, _ = apply(book, SetFields(at=(*song, "s2"), fields=elsewhere))
        moved, _ = apply(moved, SetFields(at=(*song, "s4"), fields={"label": "another word"}))
        found, words = states(tour, moved)
        assert found["s2"] == ("changed since", 2, ("anchor",))
        assert found["s4"][0] == "run", "another word for it needs no rehearsal"
        assert words.endswith("1 changed since")
        out, _ = apply(moved, SetFields(at=("items", "talk"), fields={"out": True}))
        assert "t1" not in states(tour, out)[0]


def test_a_simulated_night_is_no_rehearsal(tmp_path):
    night = Night()
    night.seconds(1, c.Start("Simulated caller", simulated=3))
    night.go(48)
    night.seconds(60, c.End("curtain"))
    with Tour.create(tmp_path / "t.tour", "Pier") as tour:
        tour.add_run(tour.add_edition(SHOW), night.records, run_id="one")
        assert tour.runs()[0].simulated == 3
        assert tour.cues_fired() == {}
