"""What stands in the box: words, tone, count and bar for the line to say now, or for what takes its place.
Pure."""

from collections.abc import Iterable

from showcaller.calling.caller_view import CallView
from showcaller.calling.rungs import Rung, Sign
from showcaller.calling.wording import span
from showcaller.desk.keys import Keys
from showcaller.desk.told import Prompted
from showcaller.values import Struct, replace

COUNT_S = 10.0
"""A line this close has a shrinking bar, and is counted in tenths."""
NOW_S = 0.05
LIT_S = 2.0
"""The box is lit for so long from its moment on."""
_STOP = "The emergency stop is hardware, and elsewhere."


class BoxWords(Struct, frozen=True):
    """``line`` is said, ``sees`` is what is watched for before it; ``does`` what comes of it. ``bar`` is how
    much of the last seconds is left (0 to 1), ``beats`` how many of the last beats have been (None: not
    counted). ``lit``: now is the moment."""

    heading: str
    line: str
    tone: str
    count: str = ""
    sees: str = ""
    does: str = ""
    foot: str = ""
    foot_tone: str = "text"
    signs: tuple[Sign, ...] = ()
    bar: float | None = None
    takes_s: float = 0.0
    beats: int | None = None
    lit: bool = False


class BoxState(Struct, frozen=True):
    """All that decides about the box beside the view; ``since_s`` is the view's age."""

    keys: Keys
    since_s: float = 0.0
    asked: Prompted | None = None
    refused: str | None = None
    place: str = ""


def box_words(view: CallView, state: BoxState) -> BoxWords:
    """The box of a view."""
    asked, keys = state.asked, state.keys
    if asked is not None and asked.instead:
        return _armed(view, state, asked)
    if view.held_s is not None:
        return _held(view, state, view.held_s)
    if view.phase == "idle":
        foot = f"{keys['open']} opens it, and asks for the caller's name"
        return BoxWords("no show open", "Open the show", "quiet", foot=foot)
    if view.phase == "ended":
        foot = "Drift shows where the time went"
        what = "rehearsal" if view.muted else "show"
        if view.cued_up:
            said = "Nothing was played, so nothing is kept"
            return BoxWords(f"the {what} has ended", said, "quiet", foot="the log stays on this machine")
        return BoxWords(f"the {what} has ended", "Saved to the tour", "quiet", foot=foot)
    if view.now is None:
        return BoxWords("done", "Every go has been given", "quiet", foot=_done(keys))
    words = _line(view, view.now, state)
    return replace(words, heading=f"{hazard_mark(keys)} · {words.heading}") if view.now.hazard else words


def _done(keys: Keys) -> str:
    """What can still be done when no go is left."""
    if not keys.letters:
        return ""
    back, jump, end = keys["back"], keys["jump"], keys["end"]
    return f"{end} ends the show · {jump} jumps to a cue · {back} {back} takes back the last go"


def hazard_mark(keys: Keys) -> str:
    """That a go is hazardous, and its two keys."""
    if not keys.letters:
        return "hazard"
    return f"hazard: {keys['go']}, then {keys['confirm']}"


def locked_words(caller: str) -> str:
    """What stands over the box while the desk is locked."""
    return f"locked: keys call nothing · type {caller} to unlock"


def typing_words(view: CallView, keys: Keys) -> str:
    """What stands over the box while a field is open: keys are letters, and what the go would do then."""
    if view.phase not in ("running", "held"):
        return ""
    return f"typing: keys call nothing · Esc leaves{_then(view, keys)}"


def _then(view: CallView, keys: Keys) -> str:
    """What the go would do once the field is left; only one that is free fires."""
    go = view.next_go
    if go is None or view.held_s is not None or not keys.letters:
        return ""
    if go.waits:
        return f": the go waits for {', '.join(go.waits)}"
    if go.hazard is not None:
        return f": {keys['go']} then arms {go.name}, {keys['confirm']} fires it"
    return f": {keys['go']} then fires {go.text}"


def _armed(view: CallView, state: BoxState, asked: Prompted) -> BoxWords:
    if view.phase == "idle":
        return BoxWords(
            asked.heading, asked.words, asked.tone, foot="then type RESUME; it goes on where it is"
        )
    if view.next_go is None or view.held_s is not None:
        return BoxWords(asked.heading, asked.words, asked.tone, foot=_STOP)
    # Armed, the line and the time to it stay: too early is as wrong here as anywhere.
    words = _line(view, view.next_go, state)
    heading = f"armed: {state.keys['confirm']} fires · {words.heading}"
    foot = f"{asked.words} {_STOP}"
    return replace(words, heading=heading, foot=foot, tone=asked.tone, foot_tone="missed", lit=False)


def _held(view: CallView, state: BoxState, held_s: float) -> BoxWords:
    keys = state.keys
    then = f" · then {view.next_go.text}" if view.next_go else ""
    if view.next_go is not None and view.next_go.hazard:
        then += f" ({hazard_mark(keys)})"
    hold, unheld, why = keys["hold"], keys["unheld"], keys["why"]
    foot = f"{hold} resumes, {unheld} as if never held, {why}: give the reason{then}"
    if not keys.letters:
        foot = f"the caller resumes{then}"
    words = BoxWords("held for", view.hold_reason or "Show on hold", "caution", span(held_s), foot=foot)
    return _with_refusal(words, state)


def _line(view: CallView, now: Rung, state: BoxState) -> BoxWords:
    in_s, go = now.in_s - state.since_s, now.what == "go"
    words = BoxWords(
        "",
        now.text,
        "accent" if go else "standby",
        does=now.does,
        foot=_foot(view, now, state),
        foot_tone="caution" if go and (view.unsaid or now.not_clear or now.unticked) else "text",
        signs=now.signs,
        takes_s=now.takes_s,
    )
    return _with_refusal(_timed(view, now, in_s, words), state)


def _timed(view: CallView, now: Rung, in_s: float, words: BoxWords) -> BoxWords:
    """With its heading, count and bar."""
    go = now.what == "go"
    if go and now.waits:  # green would say that it may go
        count = span(in_s) if now.firm else ""
        return replace(words, heading=f"waiting for {', '.join(now.waits)}", count=count, tone="caution")
    if now.vamp and in_s > LIT_S and not (go and now.sees is not None):
        return replace(words, heading="after the vamp · soonest in", count=span(in_s))
    if go and now.sees is not None:
        count = f"about {span(in_s)}" if in_s > 1 else ""
        return replace(
            words, heading="watch for" if now.word is None else "listen for", sees=now.sees, count=count
        )
    if go and not now.firm:
        heading = "begin" if now.starts_item else "go"
        if view.waiting:  # green would say that they are ready
            heading = f"not acknowledged: {', '.join(view.waiting)} · {heading}"
            words = replace(words, tone="caution")
        if in_s > 1:
            return replace(words, heading=f"{heading} in about", count=span(in_s))
        return replace(words, heading=f"{heading} when ready")
    if view.missed:
        return replace(words, heading="go is late", count=f"{-in_s:.0f} s", tone="missed")
    verb = "call go" if go else f"call {now.what}"
    if go and view.waiting and in_s <= COUNT_S:
        # Asked before the go, not at it: a second press on the beat would be late.
        words = replace(words, tone="caution")
        verb = f"not acknowledged: {', '.join(view.waiting)} · {verb}"
    if not go and (
        view.cued_up or in_s < -LIT_S
    ):  # overlooked, or nothing has begun that it could be late for
        late = "" if view.cued_up else f"{span(-in_s)} late"
        return replace(words, heading=verb, count=late)
    if in_s <= NOW_S:
        beats = len(now.beats_s) if now.beats_s else None
        return replace(words, heading=f"{verb} now", lit=True, beats=beats)
    count = f"{in_s:.1f} s" if in_s < COUNT_S else span(in_s)
    bar = in_s / COUNT_S if in_s <= COUNT_S else None
    beats = sum(in_s <= at_s for at_s in now.beats_s) or None
    return replace(words, heading=f"{verb} in", count=count, bar=bar, beats=beats)


def _with_refusal(words: BoxWords, state: BoxState) -> BoxWords:
    if not state.refused:
        return words
    return replace(words, foot=f"Refused: {state.refused}", foot_tone="missed")


def _foot(view: CallView, now: Rung, state: BoxState) -> str:
    keys = state.keys
    if now.what != "go":
        if view.next_go is None:
            return ""
        go = view.next_go
        when = f" in {span(go.in_s - state.since_s)}" if go.firm else ""
        means = hazard_mark(keys) if go.hazard else f"{keys['go']} still fires"
        means = means if keys.letters or go.hazard else "then"
        if go.waits:  # a go would be refused
            waits = f"waits for {', '.join(go.waits)}"
            means = f"{means}, {waits}" if go.hazard else waits
        called = f"{keys['standby']}: {now.what} called · " if keys.letters else ""
        return f"{called}{means}: {go.text}{when}"
    parts = [
        _listed("the way is NOT CLEAR", now.not_clear),
        _listed("NOT TICKED", now.unticked),
        _listed("standby not called", view.unsaid),
        _listed("standing by", view.answered),
        _listed("not acknowledged", view.waiting),
        now.hazard or "",
        _let_through(now, keys),
        state.place if now.sees is None else "",
    ]
    return " · ".join(part for part in parts if part)


def _let_through(now: Rung, keys: Keys) -> str:
    """How what waits is passed: the music does not wait for a clearance."""
    if not now.waits or not keys.letters:
        return ""
    skip, override = keys["skip"], keys["override"]
    return f"{skip} {skip} skips it, so the next go is free; {override} overrides, with a name"


def _listed(what: str, names: Iterable[str]) -> str:
    found = ", ".join(names)
    return f"{what}: {found}" if found else ""
