"""What would make a plan that cannot be run, caught while it is typed."""

from showcaller.editing.changes import Change, ChangeError, apply
from showcaller.model import Show
from showcaller.timing.plan import Problem, compile_item


def refuse_what_cannot_run(show: Show, change: Change, item_id: str) -> None:
    """Refuse a change after which an item has a problem that it has not now.

    Raises:
        ChangeError: the problem's own sentence.
    """
    changed, _ = apply(show, change)
    before = {p.sentence for p in _problems(show, item_id)}
    for problem in _problems(changed, item_id):
        if problem.sentence not in before:
            raise ChangeError(problem.sentence)


def _problems(show: Show, item_id: str) -> tuple[Problem, ...]:
    item = next((i for i in show.items if i.id == item_id), None)
    return () if item is None else compile_item(item, show.timecode_rate).problems
