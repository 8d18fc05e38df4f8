"""The recording's picture, and under it how the show stood: clocks, look, what had fired, what came next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.wording import day_time, span
from showcaller.desk.areas.drift.acts import frame_words
from showcaller.desk.paint.paper import Paper
from showcaller.review.standing import Standing

if TYPE_CHECKING:
    from showcaller.desk.areas.drift.area import DriftArea


def draw_screen(paper: Paper, area: DriftArea, left: float, right: float, top: float) -> float:
    """Draw it; returns where the list may begin."""
    k = paper.px
    player = area.player
    if not player.path:
        paper.heading(left, top, "the recording")
        words = f"None yet. {area.keys['drift.recording']} points at the video of this run."
        paper.text(left, top + k(32), words, "small", "quiet", room=right - left)
        return top + k(52)
    rows = area.rows()
    name = rows[area.chosen].name.strip() if rows and rows[area.chosen].t_ns is not None else ""
    paper.heading(left, top, f"the recording at {name}" if name else "the recording")
    width = right - left
    height = min(width * 9 / 16, paper.height * 0.40)
    y = top + k(16)
    paper.fill(left, y, width, height, "panel")
    ratio = paper.painter.device().devicePixelRatioF()
    player.fit(int(width * ratio), int(height * ratio))
    if player.image is not None:
        player.image.setDevicePixelRatio(ratio)
        shown = player.image.size() / ratio
        paper.picture(left + (width - shown.width()) / 2, y + (height - shown.height()) / 2, player.image)
    if player.trouble:
        paper.wrapped(left + k(16), y + k(36), player.trouble, width - k(32), "small", "missed", 3)
    elif player.image is None:
        paper.text(left + width / 2, y + height / 2, "reading the file", "small", "quiet", align="centre")
    area.spot(left, y, width, height, "screen")
    y += height + k(26)
    t_ns = area.playing_ns()
    if t_ns is None or area.view is None:
        return y
    standing = area.view.standings.at(t_ns)
    state = "▶ " if player.playing else ""
    used = paper.text(left, y, f"{state}{day_time(standing.wall_ns)}", "body", "strong", "semibold")
    paper.text(left + used + k(18), y, where_words(standing), "small", "text", room=width * 0.72 - used)
    paper.text(right, y, frame_words(player.index, player.at_s), "tiny", "quiet", align="right")
    before, after = ladder_words(standing)
    look = f"look: {standing.look}" if standing.look else ""
    wide = paper.text(left, y + k(28), before, "small", "quiet", room=width * 0.4)
    paper.text(left + wide + k(18), y + k(28), look, "small", "quiet", room=width * 0.98 - wide)
    paper.text(left, y + k(56), after, "small", "accent", room=width)
    return y + k(68)


def where_words(standing: Standing) -> str:
    """``Iron Gulls 2:31 · bar 33.2``."""
    if not standing.item:
        return "before the show"
    parts = [standing.item if standing.clock_s is None else f"{standing.item} {span(standing.clock_s)}"]
    if standing.bar is not None:
        parts.append(f"bar {standing.bar[0]}.{standing.bar[1]}")
    if standing.held:
        parts.append("HELD")
    return " · ".join(parts)


def ladder_words(standing: Standing) -> tuple[str, str]:
    """(what fired last and how long ago, what comes next and in how long)."""
    before = "" if standing.last is None else f"{standing.last[0].name}, {standing.last[1]:.1f} s ago"
    after = " · ".join(f"{m.name} in {in_s:.1f} s" for m, in_s in standing.coming[:3])
    after = f"next: {after}" if after else ""
    return before, after
