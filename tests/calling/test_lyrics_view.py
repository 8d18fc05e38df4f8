"""The words that are sung, as the caller sees them."""

from books import book_of
from hypothesis import given
from hypothesis import strategies as st
from played import Played
from small_shows import cue, item, show

from showcaller.calling.caller_view import call_view
from showcaller.calling.lyrics_view import WordsOf, lyrics_view
from showcaller.desk.areas.call.lyrics import fitting
from showcaller.run import commands as c
from showcaller.run.compiled import NS

LYRICS = [
    {"id": "la", "text": "The lamps are lit", "seconds": 10},
    {"id": "lb", "text": "and out they go", "seconds": 30},
    {"id": "lc", "text": "long after", "seconds": 110},
]
CUES = [
    cue("a", "1", {"at": "word", "line": "la", "word": 4}),
    cue("b", "2", {"at": "word", "line": "lb", "word": 2}),
]


def begun():
    run = Played(show([item("one", 200, CUES, lyrics=LYRICS), item("two", 60, [])]))
    run.go(0)
    return run


def seen(run, t_s):
    book = book_of(run)
    now_ns = round(t_s * NS)
    return lyrics_view(book, call_view(book, now_ns), now_ns)


def test_the_line_that_is_on_the_next_and_the_word_of_the_next_go():
    run = begun()
    before = seen(run, 4)
    assert (before.on, before.then.text, before.then.marked, before.in_s) == (None, "The lamps are lit", 3, 6)
    now = seen(run, 12)
    assert (now.on.text, now.on.marked) == ("The lamps are lit", 3)
    assert (now.then.text, now.then.marked) == ("and out they go", None)  # only the next go's word
    run.go(16)
    after = seen(run, 17)
    assert (after.on.marked, after.then.marked) == (None, 1)
    assert seen(run, 20).on is None  # music without words
    assert seen(run, 45) is None  # and nothing within a minute
    assert seen(run, 55).then.text == "long after"


def test_a_hold_keeps_the_line():
    run = begun()
    run.at(12, c.Hold("x"))
    assert seen(run, 60).on.text == "The lamps are lit"


def test_before_and_after_the_song_there_is_none():
    run = Played(show([item("one", 200, CUES, lyrics=LYRICS), item("two", 60, [])]))
    assert seen(run, 5) is None
    run = begun()
    run.go(16)
    run.go(32)
    run.go(200)
    assert seen(run, 210) is None


def test_the_go_says_its_word_and_asks_to_listen():
    run = begun()
    view = call_view(book_of(run), 12 * NS)
    assert view.next_go.sees == "on the word “lit”: The lamps are lit"
    assert view.next_go.place == "on the word “lit”"
    assert view.next_go.word == ("la", 4)
    assert not view.next_go.firm


@given(
    st.lists(st.text("abc", min_size=1, max_size=6), min_size=1, max_size=12), st.data(), st.integers(1, 60)
)
def test_the_marked_word_is_always_among_what_fits(words, data, room):
    marked = data.draw(st.none() | st.integers(0, len(words) - 1))
    shown = fitting(WordsOf(tuple(words), marked), float(room), lambda text: float(len(text)))
    if marked is None:
        assert shown.marked is None
    else:
        assert shown.words[shown.marked] == words[marked]
    assert len(shown.text) <= room or len([w for w in shown.words if w != "…"]) == 1


SUNG = [
    {"id": "v", "text": "verse", "bar": 1, "beat": 3},
    {"id": "k", "text": "chorus", "bar": 5},
    {"id": "o", "text": "out", "bar": 9},
]


def turning():
    """Sections of 8 s each (four bars of 4/4 at 120 bpm)."""
    sections = [{"bar": 1, "name": "Verse"}, {"bar": 5, "name": "Chorus"}, {"bar": 9, "name": "Out"}]
    tempo = [{"bar": 1, "bpm": 120}]
    run = Played(show([item("one", 60, [], lyrics=SUNG, tempo=tempo, sections=sections)]))
    run.go(0)
    return run


def coming(run, t_s):
    run.at(t_s)
    now = seen(run, t_s)
    return now.then.text, now.in_s, now.waits


def test_the_words_follow_what_will_be_played():
    run = turning()
    assert coming(run, 2) == ("chorus", 6, False)
    run.at(3, c.PlaySection("again"))
    assert coming(run, 4) == ("verse", 5, False), "its section comes once more"
    assert coming(run, 8.5) == ("verse", 0.5, False)
    assert coming(run, 10) == ("chorus", 6, False)
    run.at(11, c.PlaySection("cut"))
    assert coming(run, 12) == ("out", 4, False), "the chorus will not be sung"
    run = turning()
    run.at(2, c.PlaySection("vamp"))
    assert coming(run, 3) == ("verse", 6, False), "once more, unless the word comes"
    run.at(4, c.PlaySection("on"))
    assert coming(run, 5) == ("chorus", 3, False)


def test_what_comes_after_a_vamp_without_words_waits_for_its_end():
    bare = [line for line in SUNG if line["id"] != "v"]
    sections = [{"bar": 1, "name": "Verse", "vamp": True}, {"bar": 5, "name": "Chorus"}]
    tempo = [{"bar": 1, "bpm": 120}]
    run = Played(show([item("one", 60, [], lyrics=bare, tempo=tempo, sections=sections)]))
    run.go(0)
    assert coming(run, 3) == ("chorus", 5, True)


def test_a_breath_between_two_lines_keeps_the_line_and_a_longer_gap_does_not():
    for next_s, stays in ((16, True), (19, False)):
        lines = [
            {"id": "a", "text": "one two", "seconds": 10},  # over at 14: two seconds a word at the slowest
            {"id": "b", "text": "three", "seconds": next_s},
        ]
        run = Played(show([item("one", 60, [], lyrics=lines)]))
        run.go(0)
        on = seen(run, 15).on
        assert (on is not None and on.text == "one two") is stays
