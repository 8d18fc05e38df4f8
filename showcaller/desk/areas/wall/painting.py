"""How the wall area is laid out and drawn, but for the wall itself and the graph, which draw themselves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from showcaller.desk.actions import ACTIONS
from showcaller.desk.areas.wall.foot import draw_board, draw_sentences
from showcaller.desk.areas.wall.panels import PANELS, draw_facts, draw_faults, draw_sent
from showcaller.desk.areas.wall.side import draw_side
from showcaller.desk.areas.wall.wallview import WallView, parts_sentence
from showcaller.desk.keys import buttons_of
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QRect, QRectF
from showcaller.model import Wall
from showcaller.review.faults import FaultHistory

if TYPE_CHECKING:
    from showcaller.desk.areas.wall.area import WallArea
    from showcaller.desk.areas.wall.scene import Scene

NO_WALL = "This show has no wall. {} makes one: its size, its pixels, its inputs and channels."


@dataclass(frozen=True, slots=True)
class Places:
    """Where the mouse finds layers, fields to type into, and words that are panels or acts."""

    layers: tuple[tuple[str, QRectF], ...] = ()
    fields: tuple[tuple[str, QRectF], ...] = ()
    words: tuple[tuple[str, QRectF], ...] = ()


def places(area: WallArea, wall: Wall) -> tuple[QRect, QRect]:
    """Where the wall and the graph lie, px of the area: the wall to scale, as large as the rest allows."""
    k = area.scale()
    left, top = 28 * k, 76 * k
    width = area.width() - 460 * k - left
    shape = wall.width_m / wall.height_m
    high = min(width / shape, area.height() * 0.46)
    screen = QRect(int(left), int(top), int(high * shape), int(high))
    foot = _foot(screen, k)
    room = area.height() - foot - 346 * k
    graph = max(84 * k, min(190 * k, room))
    return screen, QRect(int(left), int(foot + 34 * k), int(width), int(graph))


def _foot(screen: QRect, k: float) -> float:
    """Where the words over the graph stand."""
    return screen.bottom() + 92 * k


def draw(paper: Paper, area: WallArea) -> Places:
    """Draw the area."""
    k = paper.px
    view, scene = area.view, area.scene
    if view is None or scene is None:
        paper.text(
            k(28),
            k(60),
            NO_WALL.format(area.keys["wall.new_layer"]),
            "body",
            "quiet",
            room=paper.width - k(56),
        )
        return Places()
    used = paper.text(k(28), k(44), view.title, "title", "strong", "semibold", room=paper.width * 0.4)
    paper.text(k(48) + used, k(44), view.line, "small", "quiet", room=paper.width - used - k(80))
    box = QRectF(area.screen_.geometry())
    _inputs(paper, scene, box)
    _status(paper, area, view, scene, box)
    y = _foot(area.screen_.geometry(), paper.k)
    width = paper.width - k(488)
    words = _headings(paper, area, y, width)
    sends: tuple[tuple[str, QRectF], ...] = ()
    foot = QRectF(k(28), y + k(26), width, paper.height - y - k(36))
    if area.panel == 0:
        _channels(paper, area, view, foot)
    elif area.panel == 1:
        sends = draw_sent(paper, scene, foot, area.keys)
    elif area.panel == 2:
        history = area.host.outlook.facts.wall_faults if area.host is not None else FaultHistory()
        draw_faults(paper, scene, foot, area.screen_.faults, history, area.keys)
    else:
        draw_facts(paper, scene, foot, area.projector.counters().level)
    found = scene.layer(area.acts.chosen)
    sentence = ""
    if found is not None:
        why = area.projector.why(found[1].source)
        sentence = " ".join(w for w in (parts_sentence(scene, found[1]), why) if w)
    side = QRectF(paper.width - k(432), k(70), k(404), paper.height - k(86))
    if scene.live:
        sentence = (
            "A run is followed here. {} and {} choose an item to work on the plan, {} comes back.".format(
                *(area.keys[f"wall.{name}"] for name in ("item_before", "item_after", "follow"))
            )
        )
    drawn = draw_side(paper, view, side, area.acts.chosen, () if scene.live else area.fields, sentence)
    return Places(drawn.layers, (*drawn.fields, *sends), words)


def _inputs(paper: Paper, scene: Scene, box: QRectF) -> None:
    """The inputs' names under the wall, of those that reach its lower edge."""
    k = paper.px
    for i in scene.wall.inputs:
        if i.y_px + i.height_px < scene.wall.height_px:
            continue
        x = box.left() + (i.x_px + i.width_px / 2) / scene.wall.width_px * box.width()
        room = i.width_px / scene.wall.width_px * box.width() - k(8)
        turned = f" turned {i.rotation}°" if i.rotation else ""
        size = i.raster_px or (i.width_px, i.height_px)
        words = f"{i.name}  {size[0]}×{size[1]}{turned}"
        paper.text(x, box.bottom() + k(24), words, "tiny", "quiet", align="centre", room=room)


def _channels(paper: Paper, area: WallArea, view: WallView, foot: QRectF) -> None:
    k = paper.px
    y = area.graph.geometry().bottom() + k(28)
    board = max(k(120), min(k(216), foot.bottom() - y - k(20)))
    lines = max(1, min(3, int((foot.bottom() - board - y) / k(26)) + 1))
    draw_sentences(paper, view, foot.left(), y, foot.width(), lines)
    draw_board(paper, view.cards, QRectF(foot.left(), foot.bottom() - board, foot.width(), board))


def _status(paper: Paper, area: WallArea, view: WallView, scene: Scene, box: QRectF) -> None:
    """Under the wall: its facts, how the picture is made, what was said last."""
    k = paper.px
    y = box.bottom() + k(54)
    counted = area.projector.counters()
    words = view.facts
    if scene.moving:
        words += f" · {counted.rate:.0f} frames/s, {counted.dropped} dropped, {counted.last_ms:.1f} ms"
    elif not scene.live:
        words += " · the picture stands"
    words += f" · {area.trouble}" if area.trouble else ""
    end = k(28) + paper.text(k(28), y, words, "small", "quiet", room=(paper.width - k(488)) * 0.6)
    room = paper.width - k(488) + k(28) - end - k(30)
    said = area.said()
    if said is not None:
        paper.text(end + k(30), y, said[0], "small", "text" if said[1] == "quiet" else said[1], room=room)
    elif scene.other:
        words = f"B: {scene.other} ({area.keys['wall.compare']}: A, tonight's)"
        paper.text(end + k(30), y, words, "small", "caution", room=room)


def _headings(paper: Paper, area: WallArea, y: float, width: float) -> tuple[tuple[str, QRectF], ...]:
    """Words to click: what the foot shows, and what can be done."""
    k = paper.px
    found = []
    x = k(28)
    for n, name in enumerate(PANELS):
        tone = "strong" if n == area.panel else "quiet"
        wide = paper.text(x, y + k(14), name, "tiny", tone, "semibold")
        found.append((name, QRectF(x - k(6), y - k(8), wide + k(12), k(32))))
        if n == area.panel:
            paper.line(x, y + k(20), x + wide, y + k(20), "accent", 2)
        x += wide + k(26)
    right = k(28) + width
    for action in reversed(buttons_of("Wall")):
        key, name = area.keys[action], action.rpartition(".")[2]
        word = "stop" if name == "play" and area.rehearsal.playing else ACTIONS[action].word
        wide = paper.width_of(word, paper.size("tiny"), "medium")
        before = paper.width_of(key, paper.size("tiny"))
        left = right - wide - before - k(8)
        if left < x:
            break
        paper.text(right, y + k(14), word, "tiny", "text", "medium", align="right")
        paper.text(left, y + k(14), key, "tiny", "faint")
        found.append((name, QRectF(left - k(6), y - k(8), right - left + k(12), k(32))))
        right = left - k(22)
    return tuple(found)
