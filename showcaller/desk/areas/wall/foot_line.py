"""What is written over and under the pictures of the wall area. Drawing alone."""

from showcaller.desk.paint.paper import Paper


def draw_top(paper: Paper, x: float, words: str, right: float) -> None:
    """Where the show is, behind the item's name; in two lines, smaller, where one is too short."""
    k, room = paper.px, right - x
    if paper.width_of(words, paper.size("small")) <= room:
        paper.text(x, k(44), words, "small", "quiet")
    else:
        paper.wrapped(x, k(30), words, room, "tiny", "quiet", lines=2)


def draw_under(paper: Paper, y: float, room: float, facts: str, said: str, tone: str) -> None:
    """The wall's facts and behind them what was said, which has the line alone, or two, if it must."""
    k, left = paper.px, paper.px(28)
    wide, size = paper.width_of(said, paper.size("small")), paper.size("small")
    beside = room - min(paper.width_of(facts, size), room * 0.6) - k(30)
    if wide <= beside:
        end = left + paper.text(left, y, facts, "small", "quiet", room=room * 0.6 if said else room) + k(30)
        paper.text(end, y, said, "small", tone)
    else:
        first = y if wide <= room else y - k(8)
        paper.wrapped(left, first, said, room, "small" if wide <= room else "tiny", tone, lines=2)
