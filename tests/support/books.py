"""Run books for tests: what a desk knows of a run played by hand."""

from played import Played

from showcaller.calling.callview import CallView, call_view
from showcaller.calling.runbook import RunBook
from showcaller.engine.program import NS
from showcaller.timing.calls import compile_show_calls


def book_of(run: Played) -> RunBook:
    """The book of a run."""
    book = RunBook(run.program, compile_show_calls(run.program.plan))
    book.take(run.records)
    return book


def view_at(run: Played, t_s: float) -> CallView:
    """The call area at ``t_s``, with all that has fired by itself until then."""
    run.at(t_s)
    return call_view(book_of(run), round(t_s * NS))
