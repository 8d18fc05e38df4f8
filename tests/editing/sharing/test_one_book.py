"""Three desks change one book in any order, with delays and drop-outs, and come to the same document."""

from dataclasses import dataclass, field

from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import cue, item, show

from showcaller.editing import ChangeError, Move, Put, SetFields, Take, apply
from showcaller.editing.sharing import Answer, AwayBook, BookEntry, BookOffer, HomeBook

SHOW = show([item(n, 60 + 10 * k, [cue(f"{n}c", str(k + 1), 5)]) for k, n in enumerate("abcd")])
WHERE = ("items",)
ITEMS = st.sampled_from("abcdxy")
CHANGES = st.one_of(
    st.builds(lambda i, s: SetFields(at=("items", i), fields={"length_s": s}), ITEMS, st.integers(60, 64)),
    st.builds(lambda i, n: SetFields(at=("items", i), fields={"name": n}), ITEMS, st.sampled_from("NM")),
    st.builds(
        lambda i, n: SetFields(at=("items", i, "cues", 0), fields={"label": n}), ITEMS, st.sampled_from("pq")
    ),
    st.builds(lambda i, s: Put(at=WHERE, index=1, part=item(i, s, [])), ITEMS, st.integers(30, 31)),
    st.builds(lambda i: Take(at=WHERE, key=i), ITEMS),
    st.builds(lambda i, n: Move(at=WHERE, key=i, index=n), ITEMS, st.integers(0, 4)),
)
ACTS = st.lists(
    st.tuples(st.sampled_from(["make", "undo", "send", "hear", "drop", "close"]), st.integers(0, 2), CHANGES),
    max_size=40,
)


@dataclass
class Desk:
    """One away: what is on its way to the document and back, and what became of each of its changes."""

    name: str
    book: AwayBook
    there: list[BookOffer] = field(default_factory=list)
    back: list[Answer] = field(default_factory=list)
    made: list[str] = field(default_factory=list)
    undo: list[tuple[str, object]] = field(default_factory=list)
    undone: set[str] = field(default_factory=set)


class Sharing:
    """The machine with the document, its own desk, and two away."""

    def __init__(self):
        self.home, self.sitting, self.taken = HomeBook(SHOW), 0, set()
        self.desks = [Desk(n, AwayBook(SHOW)) for n in ("mo", "bass")]
        for desk in self.desks:
            desk.book.begin("0", 0, SHOW)
        self.count = 0

    def make(self, who, change, undoes=None):
        self.count += 1
        ident = f"n{self.count}"
        try:
            if who == 2:
                after, _ = apply(self.home.show, change)
                self.home.own(change, after, "w", "home", 0)
                return
            desk = self.desks[who]
            _, inverse = desk.book.make(ident, "w", change)
        except ChangeError:
            return
        desk.made.append(ident)
        if undoes is None:
            desk.undo.append((ident, inverse))
        else:
            desk.undone.add(undoes)

    def act(self, what, who, change):
        if what == "make" or (who == 2 and what not in ("close",)):
            self.make(who, change)
        elif what == "close":  # the desk with the document is closed and opened again
            self.sitting += 1
            self.home = HomeBook(self.home.show, self.taken)
            for desk in self.desks:
                desk.back.clear()  # what is answered is answered for one sitting
        elif what == "undo" and self.desks[who].undo:
            ident, inverse = self.desks[who].undo.pop()
            self.make(who, inverse, undoes=ident)
        elif what == "send":
            self.send(self.desks[who])
        elif what == "hear":
            self.hear(self.desks[who])
        elif what == "drop":
            self.desks[who].there.clear()
            self.desks[who].back.clear()

    def send(self, desk):
        desk.there = list(desk.book.pending)  # all that is not answered, again and again
        while desk.there:
            answer = self.home.take(BookOffer.from_data(desk.there.pop(0).to_data()), desk.name, 0)
            if not answer.theirs:
                self.taken.add(answer.ident)
            desk.back.append(Answer.from_data(answer.to_data()))

    def hear(self, desk):
        book, home = desk.book, self.home
        if book.book != str(self.sitting):
            book.begin(str(self.sitting), home.number, home.show)
        else:
            book.hear([BookEntry.from_data(e.to_data()) for e in home.entries[book.number :]])
        book.hear_answers(desk.back)
        desk.back = []


@settings(max_examples=150, deadline=None)
@given(ACTS)
def test_all_come_to_the_same_document_and_every_change_is_in_it_undone_or_a_conflict(acts):
    sharing = Sharing()
    for act in acts:
        sharing.act(*act)
    for _ in range(2):
        for desk in sharing.desks:
            sharing.send(desk)
        for desk in sharing.desks:
            sharing.hear(desk)
    for desk in sharing.desks:
        assert desk.book.shown == desk.book.base == sharing.home.show
        assert desk.book.pending == []
        listed = {ident for one in desk.book.conflicts for ident in one.idents}
        assert set(desk.made) <= sharing.taken | listed
        assert not listed & sharing.taken


def test_the_desk_that_lost_is_told_whose_the_other_is_and_may_put_its_own():
    home, mo = HomeBook(SHOW), AwayBook(SHOW)
    mo.begin("0", 0, SHOW)
    theirs = SetFields(at=("items", "a"), fields={"length_s": 220})
    home.own(theirs, apply(SHOW, theirs)[0], "w", "Bass", 1_700_000_000.0)
    offer, _ = mo.make("m1", "length 3:35", SetFields(at=("items", "a"), fields={"length_s": 215}))
    answer = home.take(offer, "Mo", 0)
    (conflict,) = mo.hear_answers([answer])
    head, tail = 'Bass changed the length of "A" to 3:40 at ', "; yours was 3:35"
    assert conflict.words.startswith(head) and conflict.words.endswith(tail)  # noqa: PT018
    mo.hear(home.entries)
    assert mo.shown.items[0].length_s == 220
    assert home.take(mo.put_mine(conflict, "m2"), "Mo", 0) == Answer("m2", 2)
    assert home.show.items[0].length_s == 215
    assert mo.conflicts == []


def test_the_same_wish_of_two_is_no_conflict_and_an_item_in_the_place_of_another_is_one():
    home, mo = HomeBook(SHOW), AwayBook(SHOW)
    same = SetFields(at=("items", "a"), fields={"length_s": 220})
    home.own(same, apply(SHOW, same)[0], "w", "Bass", 0)
    assert home.take(mo.make("m1", "w", same)[0], "Mo", 0) == Answer("m1")
    other = Put(at=WHERE, index=0, part=item("new", 30, []))
    home.own(other, apply(home.show, other)[0], "w", "Bass", 0)
    mine = Put(at=WHERE, index=0, part=item("new", 40, []))
    assert home.take(mo.make("m2", "w", mine)[0], "Mo", 0).theirs
    first = SetFields(at=("items", "b", "cues", 0), fields={"label": "mine"})
    offer, _ = mo.make("m3", "w", first)
    before = Put(at=("items", "b", "cues"), index=0, part=cue("z", "0.5", 1, label="cue bc"))
    home.own(before, apply(home.show, before)[0], "w", "Bass", 0)
    assert home.take(offer, "Mo", 0).theirs, "the first cue is another one by now"
