"""What desks told, as the caller reads it."""

from books import book_of
from played import Played
from reporting import report, reporting

from showcaller.calling.desk_reports import desk_rows
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS


def rows(run, t_s):
    run.at(t_s)
    return [(r.name, r.words, r.tone) for r in desk_rows(book_of(run), round(t_s * NS))]


def test_not_seen_is_said_quietly_and_what_came_by_itself_is_shown():
    run = Played(reporting())
    assert rows(run, 0) == [("Lights desk", "listening", "quiet")]
    run.go(1)
    report(run, 1.12, "a")
    assert rows(run, 2) == [("Lights desk", "1 done, +0.12 s", "quiet")]
    report(run, 5, "e")
    run.go(10)
    assert rows(run, 12.5) == [
        ("Lights 4 fired by itself at its desk", "", "caution"),
        ("Lights 2: not seen", "", "text"),
        ("Lights desk", "4 done", "quiet"),
    ]
    shut = ev.ReportsHeard(
        department="lights", state="closed", source="", why="cannot listen at 0.0.0.0 port 8000"
    )
    run.at(13, c.Report(shut))
    assert rows(run, 13)[-1] == ("Lights desk", "cannot listen at 0.0.0.0 port 8000", "caution")
