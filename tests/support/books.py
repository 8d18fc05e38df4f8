"""Run books for tests: what a desk knows of a run played by hand."""

from played import Played

from showcaller.calling.caller_view import CallView, call_view
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls


def book_of(run: Played) -> RunBook:
    """The book of a run."""
    book = RunBook(run.compiled, compile_show_calls(run.compiled.plan))
    book.take(run.records)
    return book


def view_at(run: Played, t_s: float) -> CallView:
    """The call area at ``t_s``, with all that has fired by itself until then."""
    run.at(t_s)
    return call_view(book_of(run), round(t_s * NS))
