"""What would make a plan that cannot be run, caught while it is typed."""

from collections.abc import Callable

from showcaller.editing.changes import ChangeError
from showcaller.model import Show
from showcaller.timing.plan import Problem, compile_item


def runs_as_before(item_id: str) -> Callable[[Show, Show], None]:
    """A check of the shows before and after a change: the item must have no problem that it had not before.

    The check raises ChangeError with the problem's own sentence.
    """

    def check(before: Show, after: Show) -> None:
        known = {p.sentence for p in _problems(before, item_id)}
        for problem in _problems(after, item_id):
            if problem.sentence not in known:
                raise ChangeError(problem.sentence)

    return check


def _problems(show: Show, item_id: str) -> tuple[Problem, ...]:
    item = next((i for i in show.items if i.id == item_id), None)
    return () if item is None else compile_item(item, show.timecode_rate).problems
