"""A section played again: where it begins, when it is over."""

from books import book_of
from played import Played
from small_shows import cue, item, show

from showcaller.calling.looping import Loop, is_over, loop_of
from showcaller.run.compiled import NS

TEMPO = [{"bar": 1, "bpm": 120}]
SECTIONS = [{"name": "Verse", "bar": 1}, {"name": "Chorus", "bar": 5}, {"name": "Out", "bar": 9}]


def song():
    cues = [cue("a", "1", 0), cue("b", "2", {"at": "bar", "bar": 6}), cue("c", "3", 20)]
    return show([item("s", 40, cues, tempo=TEMPO, sections=SECTIONS)])


def test_a_loop_runs_from_the_sections_first_go_to_the_next_section():
    run = Played(song())
    run.go(0)
    book = book_of(run)
    # 120 quarter notes a minute in 4/4: a bar is 2 s, so bar 9 begins at 16 s.
    loop = loop_of(book, "chor")
    assert loop == Loop("s", "Chorus", "b", 16 * NS)
    assert not is_over(loop, book, round(15.99 * NS))
    assert is_over(loop, book, 16 * NS)


def test_what_cannot_be_looped_is_a_sentence():
    run = Played(song())
    run.go(0)
    assert loop_of(book_of(run), "solo") == "no section 'solo'; there are Verse, Chorus, Out"
    bare = Played(show([item("free", 40, [cue("a", "1", 0)])]))
    bare.go(0)
    assert loop_of(book_of(bare), "verse") == "'Free' has no sections to loop; give it some in the Book"
