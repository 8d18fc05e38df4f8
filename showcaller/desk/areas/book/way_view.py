"""A walk-on's way drawn under its lines: leave-by, legs with what each needs, in place, downbeat."""

from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.model.clockwords import m_ss
from showcaller.timing.way import Way, WayLeg

HIGH_PX = 178
"""Its height, px at 1920×1080."""
_SPARE = 0.6
"""Width of what is left to the downbeat, of a leg's usual one."""


class WayView(Sheet):
    """Shows one way; hidden without one. Not to scale: half of a leg's width goes by its time."""

    def __init__(self, parent: object) -> None:
        super().__init__("Way", parent)  # type: ignore[arg-type]
        self._way: Way | None = None
        self.hide()

    def show_way(self, way: Way | None) -> None:
        """Draw this one."""
        if way != self._way:
            self._way = way
            self.setAccessibleDescription("" if way is None else spoken(way))
            self.update()
        self.setVisible(way is not None)

    def draw(self, paper: Paper) -> None:
        way = self._way
        if way is None:
            return
        left, right, line_y = paper.px(16), paper.width - paper.px(16), paper.px(78)
        paper.heading(left, paper.px(22), f"way · {way.name}")
        paper.text(right, paper.px(24), head_words(way), "small", "strong", "semibold", "right")
        edges = _edges(way, left + paper.px(30), right - paper.px(30))
        paper.line(edges[0], line_y, edges[-2], line_y, "accent", 4)
        paper.line(edges[-2], line_y, edges[-1], line_y, "quiet", 2, dotted=True)
        for n, leg in enumerate(way.legs):
            self._leg(paper, leg, edges[n], edges[n + 1], line_y)
        at_s = [leg.from_s for leg in way.legs] + [way.legs[-1].to_s, 0.0]
        for n, (x, second) in enumerate(zip(edges, at_s, strict=True)):
            last = n == len(edges) - 1
            paper.dot(x, line_y, paper.px(7), "strong" if last else "accent")
            paper.text(x, line_y - paper.px(16), _before(second), "tiny", "text", align="centre")
        paper.text(edges[-2], line_y + paper.px(26), "in place", "tiny", "quiet", align="centre")
        paper.text(edges[-1], line_y + paper.px(26), "downbeat", "tiny", "strong", align="centre")
        paper.text(left, paper.px(HIGH_PX - 10), foot_words(way), "tiny", "quiet", room=right - left)

    def _leg(self, paper: Paper, leg: WayLeg, x0: float, x1: float, y: float) -> None:
        room, x = x1 - x0 - paper.px(12), x0 + paper.px(10)
        down = paper.px(24)
        paper.text(x, y + down, leg.name, "small", "strong", "semibold", room=room)
        paper.text(x, y + 2 * down - paper.px(3), leg.walk, "tiny", "text", room=room)
        if leg.needs:
            paper.text(x, y + 3 * down - paper.px(6), f"needs {leg.needs}", "tiny", "caution", room=room)
            paper.fill(
                x0 + (x1 - x0) / 2 - paper.px(2), y - paper.px(8), paper.px(4), paper.px(16), "caution"
            )


def head_words(way: Way) -> str:
    """``leave 1:23 before the downbeat · camera rolls 1:43 before``."""
    rolls = f" · camera rolls {_ago(way.rolls_s)} before" if way.rolls_s is not None else ""
    return f"leave {_ago(way.leave_s)} before the downbeat{rolls}"


def foot_words(way: Way) -> str:
    """Who walks, the camera, and who is posted where."""
    there = " · ".join(f"{leg.name}: {leg.there}" for leg in way.legs if leg.there)
    camera = f"camera {way.camera}" if way.camera else ""
    return " · ".join(w for w in (way.people, camera, there) if w)


def spoken(way: Way) -> str:
    """The picture for a screen reader."""
    legs = "; ".join(
        f"{leg.name}, {leg.walk}, from {_ago(leg.from_s)}" + (f", needs {leg.needs}" if leg.needs else "")
        for leg in way.legs
    )
    return f"{way.name}: {head_words(way)}. {legs}"


def _edges(way: Way, x0: float, x1: float) -> list[float]:
    """Where each leg begins, where the last ends, and the downbeat."""
    whole = sum(leg.to_s - leg.from_s for leg in way.legs)
    many = len(way.legs)
    shares = [0.5 / many + 0.5 * (leg.to_s - leg.from_s) / whole for leg in way.legs] + [_SPARE / many]
    step = (x1 - x0) / sum(shares)
    edges = [x0]
    for share in shares:
        edges.append(edges[-1] + share * step)
    return edges


def _ago(seconds: float | None) -> str:
    return m_ss(round(-(seconds or 0.0)))


def _before(seconds: float) -> str:
    return "0:00" if seconds > -0.5 else f"−{_ago(seconds)}"
