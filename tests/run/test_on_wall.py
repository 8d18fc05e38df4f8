"""What a run has on the wall, from its log: as it came, as it was played, where the clock went back."""

from played import Played
from wall_show import wall_show

from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.run.on_wall import looks_as_run, with_hand
from showcaller.run.runbook import RunBook
from showcaller.screen.picture import Picture, picture_at
from showcaller.timing.calls.compiling import compile_show_calls

SHOW = wall_show()


def on_wall(run: Played, t_s: float) -> Picture:
    """As a desk has it."""
    book = RunBook(run.compiled, compile_show_calls(run.compiled.plan))
    book.take(run.records)
    item, at_ns = book.state.item, book.state.item_ns(round(t_s * NS))
    at_s = 0.0 if at_ns is None else at_ns / NS
    looks, on = looks_as_run(book, item, at_s), book.state.on_wall
    looks = with_hand(SHOW, looks, on) if on is not None and on.played else looks
    assert SHOW.wall is not None
    return picture_at(SHOW.wall, looks, at_s)


def test_what_stands_stays_where_the_clock_goes_back() -> None:
    run = Played(SHOW)
    run.go(0)
    run.at(20, c.PutLook("faces"))
    run.at(21, c.PlayLayer("cam-2", {"opacity": 0.5}, 2))
    run.at(30, c.Resync(bar=3))  # 4 s: before the look by hand came
    assert [(p.source, p.opacity) for p in on_wall(run, 30).layers] == [("cam-2", 0.5), ("cam-3", 1.0)]


def test_between_two_items_what_stood_last_stands() -> None:
    run = Played(SHOW)
    for t_s in (0, 16, 32, 64):
        run.go(t_s)
    run.at(70, c.PlayLayer("cam-1", {"left_m": -4}, 4))
    run.at(130, c.Insert("A talk"))
    (one,) = on_wall(run, 131).layers
    assert (one.source, one.rect.x) == ("cam-1", -400)


def test_a_mix_by_hand_while_no_clock_runs_is_there() -> None:
    run = Played(SHOW)
    run.at(1, c.PutLook("wide"))
    run.at(2, c.PutLook("faces", by="mix", beats=8))
    assert [(p.source, p.opacity) for p in on_wall(run, 2).layers] == [("cam-2", 1.0), ("cam-3", 1.0)]
    run.go(5)
    first = on_wall(run, 5).layers
    for t_s in (16, 32, 64):
        run.go(t_s)
    run.at(130, c.Insert("A talk"))
    run.at(140, c.PutLook("faces", by="mix", beats=8))
    assert [(p.source, p.opacity) for p in on_wall(run, 140).layers] == [("cam-2", 1.0), ("cam-3", 1.0)]
    assert first, "the item's own look mixes from what stood"


def test_a_source_swapped_by_hand_begins_there_and_goes_on_into_the_next_look() -> None:
    run = Played(SHOW)
    run.go(0)
    run.at(5, c.PutLook("wide"))
    run.at(8, c.PlayLayer("cam-1", {"source": "words"}, 2))
    now = {p.key: p for p in on_wall(run, 10).layers}
    assert (now["cam-1"].source, now["cam-1"].since_s) == ("words", 2.0)
    assert now["sea"].since_s == 10.0
    run.at(11, c.PutLook("wide", played={"cam-1": {"source": "words"}}))
    (_, front) = on_wall(run, 12).layers
    # Under another name it is another layer: it begins anew.
    assert (front.key, front.source, front.since_s) == ("words", "words", 1.0)


def test_a_look_that_was_played_is_mixed_away_from_where_it_stood() -> None:
    run = Played(SHOW)
    run.go(0)
    run.at(5, c.PutLook("wide"))
    run.at(8, c.PlayLayer("cam-1", {"left_m": 0, "opacity": 0.4}, 2))
    run.at(10, c.PutLook("one", "mix", 4))
    during = on_wall(run, 11)
    assert during.by == "mix"
    assert [(p.key, p.rect.x, p.opacity) for p in during.before] == [("sea", 0, 1.0), ("cam-1", 0, 0.4)]
