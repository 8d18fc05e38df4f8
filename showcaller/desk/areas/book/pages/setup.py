"""Set-up: departments, outlets and clearances, each a line to type."""

from collections.abc import Callable

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.changes import Change, ChangeError, Move, Put, Take, Together
from showcaller.editing.forms.of_setup import HINTS, SetUpLine, parse_setup, setup_lines
from showcaller.model import Show

Typed = Callable[[str], str | None]

_LISTS = (
    ("departments", "departments"),
    ("outlets", "outputs: where messages go"),
    ("clearances", "clearances: who gives them"),
)


class SetUp(Page):
    """Enter types a line, or one more under the heading chosen; Del removes what nothing needs any more."""

    title = "Departments, outputs, clearances"
    widths = (1.0,)

    def __init__(
        self,
        show: Callable[[], Show],
        do: Callable[[str, Change], bool],
        type_line: Callable[[str, str, Typed], None],
    ) -> None:
        super().__init__()
        self._show = show
        self._do = do
        self._type = type_line

    def lead(self) -> str:
        return "Enter types into a line; the last line of each part adds one more."

    def hint(self) -> str:
        up, down, remove = (self.keys[f"book.{name}"] for name in ("up", "down", "remove"))
        return f"Enter: type · {up}, {down}: move · {remove}: remove · Escape goes back"

    def _rows(self) -> list[tuple[Line, str, SetUpLine | None]]:
        rows: list[tuple[Line, str, SetUpLine | None]] = []
        lines = setup_lines(self._show())
        for name, heading in _LISTS:
            rows.append((Line((heading,), heading=True), name, None))
            rows += [(Line((one.text,)), name, one) for one in lines if one.list == name]
            rows.append((Line((f"one more: {HINTS[name]}",), "quiet"), name, None))
        return rows

    def lines(self) -> tuple[Line, ...]:
        return tuple(line for line, _, _ in self._rows())

    def enter(self) -> None:
        _, name, one = self._rows()[self.at]
        words = f"one of the {name.replace('outlets', 'outputs')}: {HINTS[name]}"
        self._type(words, "" if one is None else one.text, lambda text: self._take(name, one, text))

    def _take(self, name: str, one: SetUpLine | None, text: str) -> str | None:
        show = self._show()
        try:
            part = parse_setup(show, name, text, None if one is None else one.id)
        except ChangeError as error:
            return str(error)
        parts = [p.id for p in getattr(show, name)]
        change: Change
        if one is None:
            change = Put(at=(name,), index=len(parts), part=part)
        else:
            # Another kind of outlet has other fields, so the whole part is replaced.
            index = parts.index(one.id)
            change = Together(changes=(Take(at=(name,), key=one.id), Put(at=(name,), index=index, part=part)))
        if not self._do(f"{part['name']} in the set-up", change):
            return "that cannot be taken; the line at the foot says what to change"
        return None

    def act(self, name: str) -> bool:
        _, where, one = self._rows()[self.at]
        if name == "new_cue":
            rows = self._rows()
            self.at = next(
                n for n, (_, w, o) in enumerate(rows) if w == where and o is None and not rows[n][0].heading
            )
            self.enter()
        elif name == "remove" and one is not None:
            self._do(f"removed {one.text.split(':')[0]}", Take(at=(where,), key=one.id))
        elif name in ("up", "down") and one is not None:
            parts = [p.id for p in getattr(self._show(), where)]
            to = parts.index(one.id) + (-1 if name == "up" else 1)
            if 0 <= to < len(parts) and self._do(
                f"moved {one.text.split(':')[0]}", Move(at=(where,), key=one.id, index=to)
            ):
                self.at += -1 if name == "up" else 1
        else:
            return False
        return True
