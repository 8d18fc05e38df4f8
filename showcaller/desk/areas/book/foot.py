"""What the foot of the book says. Pure."""

from showcaller.desk.keys import Keys


def foot_words(
    words: str, tone: str, read_only: str | None, running: bool, tonight: bool, typing: bool, paged: bool,
    keys: Keys,
) -> tuple[str, str]:  # fmt: skip
    """(what stands at the foot, its tone): what was said last, else how things are, else what can be done.
    ``paged``: a page is open, which says its own keys."""
    if running and typing:
        return "A show is in progress and you are typing: Escape gives the keys back to it.", "caution"
    if words:
        return words, tone if tone != "quiet" else "text"
    if read_only:
        return read_only, "caution"
    if tonight:
        words = "What is changed here changes the show that is on."
        return f"{words} {keys['book.tonight']}: back to the book.", "caution"
    if running:
        words = "A show is in progress: changes here are for the next one."
        return f"{words} {keys['book.tonight']}: for tonight.", "text"
    always = f"{keys['help']} all keys · {keys['palette']} find an action"
    own = f"{keys['book.edit']}: type into the fields · drag a cue · double-click a lane: new cue · "
    return always if paged else f"{own}{always}", "quiet"
