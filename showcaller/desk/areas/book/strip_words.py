"""What is sung, as words on the strip."""

from showcaller.desk.areas.book.ground import Ground
from showcaller.desk.areas.book.stripview import StripView
from showcaller.desk.paint.paper import Paper


def draw_words(paper: Paper, view: StripView, ground: Ground) -> None:
    """Each word at its place where there is room for all of a line's, else the line, cut to its room."""
    k = paper.px
    # Above the numbers of the first lane's cues; less room than for a word or two is left empty.
    y, size_px, least, gap = ground.lanes - k(20), paper.size("tiny"), k(84), k(6)
    for line in view.lyrics:
        x0, x1 = ground.x(line.starts_s), min(ground.x(line.until_s), ground.right)
        if x1 < ground.left or x0 > ground.right:
            continue
        places = [(ground.x(at_s), word) for at_s, word in line.words]
        ends = [*(x for x, _ in places[1:]), ground.x(line.until_s)]
        if all(x + paper.width_of(w, size_px) + gap <= end for (x, w), end in zip(places, ends, strict=True)):
            for x, word in places:
                if ground.left - least <= x <= ground.right:
                    paper.text(x, y, word, "tiny", "text")
        else:
            at = max(x0, ground.left)
            if x1 - at - gap >= min(least, paper.width_of(line.text, size_px)):
                paper.text(at, y, line.text, "tiny", "quiet", room=x1 - at - gap)
