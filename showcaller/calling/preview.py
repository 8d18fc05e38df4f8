"""A run book of a plan that is not being run: what can be read before, and without, an engine."""

from showcaller.model import Show
from showcaller.run.compiled import compile_show
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan


def preview_book(show: Show) -> RunBook:
    """The book of a show of which nothing has happened."""
    plan = compile_plan(show)
    return RunBook(compile_show(plan), compile_show_calls(plan))
