"""A run book of a plan that is not being run: what can be read before, and without, an engine."""

from showcaller.calling.runbook import RunBook
from showcaller.engine.program import make_program
from showcaller.model import Show
from showcaller.timing.calls import compile_show_calls
from showcaller.timing.plan import compile_plan


def preview_book(show: Show) -> RunBook:
    """The book of a show of which nothing has happened."""
    plan = compile_plan(show)
    return RunBook(make_program(plan), compile_show_calls(plan))
