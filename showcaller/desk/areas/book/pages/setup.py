"""Set-up: departments, outlets, clearances and the pages read aloud, each a line to type."""

from collections.abc import Callable
from functools import partial
from typing import Any

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.changes import Change, ChangeError, Move, Path, Put, SetFields, Take, Together
from showcaller.editing.forms.of_cue_lights import HINT as LIGHT_HINT
from showcaller.editing.forms.of_cue_lights import cue_light_lines, parse_cue_light
from showcaller.editing.forms.of_pages import HEAD_HINT, LINE_HINT, page_lines, parse_page, parse_page_line
from showcaller.editing.forms.of_remotes import HINT as REMOTE_HINT
from showcaller.editing.forms.of_remotes import parse_remote, remote_lines
from showcaller.editing.forms.of_reports import HINT as REPORT_HINT
from showcaller.editing.forms.of_reports import parse_report, report_lines
from showcaller.editing.forms.of_routes import HEAD_HINT as ROUTE_HINT
from showcaller.editing.forms.of_routes import (
    LEG_HINT,
    leave_words,
    parse_leg,
    parse_route,
    route_lines,
    route_typed,
)
from showcaller.editing.forms.of_setup import HINTS, SetUpLine, parse_setup, setup_lines
from showcaller.model import Route, Show
from showcaller.timing.way import Way, way_of

Typed = Callable[[str], str | None]
Live = Callable[[str], str]

_LISTS = (
    ("departments", "departments"),
    ("outlets", "outputs: where messages go"),
    ("clearances", "clearances: who gives them"),
)

_BARE_ROUTE: dict[str, Any] = {"camera": None, "preroll_s": 0, "people": []}
"""What a route's line does not say is taken out."""


class SetUp(Page):
    """Enter types a line, or one more under the heading chosen; Del removes what nothing needs any more."""

    title = "Departments, outputs, clearances, pages, routes"
    widths = (1.0,)

    def __init__(
        self,
        show: Callable[[], Show],
        do: Callable[[str, Change], bool],
        type_line: Callable[[str, str, Typed, Live | None], None],
    ) -> None:
        super().__init__()
        self._typed: Route | None = None
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
            if name == "outlets":
                rows += self._report_rows()
                rows += self._light_rows()
        rows.append(
            (Line(("pages read aloud: preset, show stop, weather, evacuation",), heading=True), "pages", None)
        )
        lines = page_lines(self._show())
        for n, one in enumerate(lines):
            inner = one.list != "pages"
            rows.append((Line((f"{'      ' * inner}{one.text}",)), one.list, one))
            if n + 1 == len(lines) or lines[n + 1].list == "pages":  # its last line
                of = one.list if inner else f"pages/{one.id}"
                rows.append((Line((f"      one more line: {LINE_HINT}",), "quiet"), of, None))
        rows.append((Line((f"one more: {HEAD_HINT}",), "quiet"), "pages", None))
        return [*rows, *self._route_rows(), *self._remote_rows()]

    def _route_rows(self) -> list[tuple[Line, str, SetUpLine | None]]:
        """Each route with its legs, what is worked out of it, and room for one more leg."""
        show = self._show()
        rows: list[tuple[Line, str, SetUpLine | None]] = [
            (Line(("routes of walk-ons: legs, people, camera",), heading=True), "routes", None)
        ]
        lines = route_lines(show)
        for route in show.routes:
            legs = f"routes/{route.id}"
            rows += [
                (Line((one.text,)), "routes", one)
                for one in lines
                if one.id == route.id and one.list == "routes"
            ]
            rows += [(Line((f"      {one.text}",)), legs, one) for one in lines if one.list == legs]
            rows.append((Line((f"      one more leg: {LEG_HINT}",), "quiet"), legs, None))
            rows.append((Line((f"      {leave_words(route)}",), "accent"), legs, None))
        rows.append((Line((f"one more: {ROUTE_HINT}",), "quiet"), "routes", None))
        return rows

    def _remote_rows(self) -> list[tuple[Line, str, SetUpLine | None]]:
        head = Line(("pedals and remotes: what may give a go from outside",), heading=True)
        rows: list[tuple[Line, str, SetUpLine | None]] = [(head, "remotes", None)]
        rows += [(Line((one.text,)), "remotes", one) for one in remote_lines(self._show())]
        return [*rows, (Line((f"one more: {REMOTE_HINT}",), "quiet"), "remotes", None)]

    def _report_rows(self) -> list[tuple[Line, str, SetUpLine | None]]:
        head = Line(("desks that report: which message means which cue",), heading=True)
        rows: list[tuple[Line, str, SetUpLine | None]] = [(head, "reports", None)]
        for one in report_lines(self._show()):
            where = f"reports/{one.department}"
            rows.append((Line((one.text,)), where, SetUpLine(where, str(one.index), one.text)))
        rows.append((Line((f"one more: {REPORT_HINT}",), "quiet"), "reports", None))
        return rows

    def _light_rows(self) -> list[tuple[Line, str, SetUpLine | None]]:
        head = Line(("cue lights: the messages to each department's lamp",), heading=True)
        rows: list[tuple[Line, str, SetUpLine | None]] = [(head, "lights", None)]
        for one in cue_light_lines(self._show()):
            where = f"lights/{one.department}/{one.state}"
            rows.append((Line((one.text,)), where, SetUpLine(where, str(one.index), one.text)))
        rows.append((Line((f"one more: {LIGHT_HINT}",), "quiet"), "lights", None))
        return rows

    def lines(self) -> tuple[Line, ...]:
        return tuple(line for line, _, _ in self._rows())

    def enter(self) -> None:
        _, name, one = self._rows()[self.at]
        words = f"one of the {name.replace('outlets', 'outputs')}: {HINTS.get(name, HEAD_HINT)}"
        if name.startswith("reports"):
            words = f"how a desk reports: {REPORT_HINT}"
        if name.startswith("lights"):
            words = f"a message to a lamp: {LIGHT_HINT}"
        if name.startswith("routes"):
            words = f"a leg: {LEG_HINT}" if "/" in name else f"a route: {ROUTE_HINT}"
        if name == "remotes":
            words = f"a pedal or a remote: {REMOTE_HINT}"
        if name.startswith("pages/"):
            words = f"a line of the page: {LINE_HINT}"
        live = partial(self._of_route, words, name, one) if name.startswith("routes") else None
        self._type(words, "" if one is None else one.text, lambda text: self._take(name, one, text), live)

    def _of_route(self, words: str, name: str, one: SetUpLine | None, text: str) -> str:
        """While a route's line is typed: what is worked out of it, which is drawn too."""
        self._typed = route_typed(self._show(), name, None if one is None else one.id, text)
        return words if self._typed is None else f"{leave_words(self._typed)}. {words}"

    def way(self) -> Way | None:
        _, name, one = self._rows()[self.at]
        if not name.startswith("routes"):
            self._typed = None
            return None
        ident = name.partition("/")[2] or (one.id if one is not None else "")
        route = self._typed or next((r for r in self._show().routes if r.id == ident), None)
        return None if route is None else way_of(self._show(), route)

    def typing_over(self) -> None:
        self._typed = None

    def _take(self, name: str, one: SetUpLine | None, text: str) -> str | None:
        show = self._show()
        try:
            if name.startswith("reports"):
                department, part = parse_report(show, text)
                if one is not None and name != f"reports/{department}":
                    return "a desk stays in its department; type it as one more there, and remove this one"
                name = f"reports/{department}"
            elif name.startswith("lights"):
                department, state, part = parse_cue_light(show, text)
                there = f"lights/{department}/{state}"
                if one is not None and name != there:
                    return "a lamp's message stays where it is; type it as one more, and remove this one"
                name = there
            elif name.startswith("pages/"):
                part = parse_page_line(show, text)
            elif name.startswith("routes/"):
                part = parse_leg(show, text)
            elif name == "routes":
                part = parse_route(show, text, None if one is None else one.id)
            elif name == "remotes":
                part = parse_remote(text)
            elif name == "pages":
                part = parse_page(show, text, None if one is None else one.id)
            else:
                part = parse_setup(show, name, text, None if one is None else one.id)
        except ChangeError as error:
            return str(error)
        at, keys = _list(show, name)
        change: Change
        if one is None:
            change = Put(at=at, index=len(keys), part=part)
        else:
            # Another kind of outlet has other fields, so the whole part is replaced.
            index = _index(keys, one)
            change = Together(changes=(Take(at=at, key=keys[index]), Put(at=at, index=index, part=part)))
        if name == "routes" and one is not None:
            change = SetFields(at=("routes", one.id), fields={**_BARE_ROUTE, **part})  # walk-ons go by its id
        elif name.startswith("routes/") and one is not None:
            change = Together(
                changes=(
                    Put(at=at, index=_index(keys, one), part=part),
                    Take(at=at, key=_index(keys, one) + 1),
                )
            )
        kind = "a cue light" if name.startswith("lights") else "a desk that reports"
        kind = "a remote" if name == "remotes" else kind
        what = part.get("name", part.get("says", kind))
        if not self._do(f"{what} in the set-up", change):
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
            at, keys = _list(self._show(), where)
            self._do(f"removed {one.text.split(':')[0]}", Take(at=at, key=keys[_index(keys, one)]))
        elif name in ("up", "down") and one is not None:
            at, keys = _list(self._show(), where)
            index = _index(keys, one)
            to = index + (-1 if name == "up" else 1)
            if 0 <= to < len(keys) and self._do(
                f"moved {one.text.split(':')[0]}", Move(at=at, key=keys[index], index=to)
            ):
                moved = (where, str(to) if "/" in where else one.id)
                rows = self._rows()
                self.at = next(n for n, (_, w, o) in enumerate(rows) if o is not None and (w, o.id) == moved)
        else:
            return False
        return True


def _list(show: Show, name: str) -> tuple[Path, list[str | int]]:
    """(the path of a list, the keys of its parts: ids, or the places of a page's lines)."""
    if name.startswith("pages/"):
        ident = name.removeprefix("pages/")
        page = next(p for p in show.pages if p.id == ident)
        return ("pages", ident, "lines"), list(range(len(page.lines)))
    if name.startswith("routes/"):
        ident = name.removeprefix("routes/")
        route = next(r for r in show.routes if r.id == ident)
        return ("routes", ident, "legs"), list(range(len(route.legs)))
    if name == "remotes":
        return ("remotes",), list(range(len(show.remotes)))
    if name.startswith("reports/"):
        ident = name.removeprefix("reports/")
        return ("departments", ident, "reports"), list(range(len(show.department(ident).reports)))
    if name.startswith("lights/"):
        _, ident, state = name.split("/")
        messages = getattr(show.department(ident).cue_light, state)
        return ("departments", ident, "cue_light", state), list(range(len(messages)))
    return (name,), [p.id for p in getattr(show, name)]


def _index(keys: list[str | int], one: SetUpLine) -> int:
    return int(one.id) if isinstance(keys[0], int) else keys.index(one.id)
