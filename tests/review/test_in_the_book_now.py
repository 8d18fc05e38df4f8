"""What the tape draws as planned: that night's plan, or what the book has there now."""

from fractions import Fraction

from showcaller.editing import SetFields, apply
from showcaller.model import read_show
from showcaller.resources import sample
from showcaller.review.wall_at import WallThen, as_the_book_has_it
from showcaller.screen.looks import looks_of
from showcaller.screen.picture import Picture
from showcaller.screen.spread import spread_of, spread_picture
from showcaller.timing.plan import compile_plan

NIGHT = compile_plan(read_show(sample("breakwater.json")))


def then(at_s: float) -> WallThen:
    """As a run's log gives it: an instant made of nanoseconds, clips at their places."""
    at_ns = round(Fraction(at_s) * 10**9)
    planned = spread_picture(spread_of(NIGHT.show), looks_of(NIGHT, 0), (at_ns + 1000) / 10**9)
    return WallThen(0, at_ns / 10**9, planned, Picture(()))


def test_as_long_as_the_book_is_that_nights_it_is_that_nights_plan():
    book = compile_plan(read_show(sample("breakwater.json")))
    for n in range(300):
        assert not as_the_book_has_it(then(n * 1.0712345), NIGHT, book).of_book


def test_another_look_in_the_book_is_drawn_where_it_is_and_nowhere_else():
    show = NIGHT.show
    cue = next(c for c in show.items[0].cues if c.look is not None and c.look.look != show.looks[0].id)
    fields = {"look": {"look": show.looks[0].id}}
    made, _ = apply(show, SetFields(at=("items", show.items[0].id, "cues", cue.id), fields=fields))
    at_s = next(s.at_s for s in looks_of(NIGHT, 0).standing if s.cue == cue.id)
    now = as_the_book_has_it(then(at_s + 10), NIGHT, compile_plan(made))
    assert (now.of_book, now.planned_name) == (True, show.looks[0].name)
    assert not as_the_book_has_it(then(at_s - 1), NIGHT, compile_plan(made)).of_book
