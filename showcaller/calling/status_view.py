"""What stands around the ladder: the strip of times, the running order, clearances, outlets. Pure."""

from fractions import Fraction
from typing import Literal

from showcaller.calling.outlook import Advice, curfew_s
from showcaller.calling.rungs import item_bases
from showcaller.calling.timecode_view import song_words, source_words
from showcaller.calling.wording import day_time, drift, percent, span
from showcaller.model import Song
from showcaller.run.clearing import standing
from showcaller.run.compiled import NS
from showcaller.run.marking import open_cues
from showcaller.run.runbook import OutletWord, RunBook, Slipped
from showcaller.timing.forecast import Forecast
from showcaller.timing.planned_start import zone_of
from showcaller.values import Struct, replace

MAKE_IT = 0.9
"""Below this probability of making the curfew the figure asks for attention."""

NOTHING = Advice()
"""Nothing need be left out."""

Tone = Literal["text", "quiet", "caution", "accent", "missed"]


class Figure(Struct, frozen=True):
    """A figure of the strip: what it is, its value, a word below it."""

    label: str
    value: str
    note: str = ""
    tone: Tone = "text"


class OrderRow(Struct, frozen=True):
    """An item of the running order. ``share`` is how far the item that is on has come, 0 to 1."""

    id: str
    name: str
    length: str
    over: str = ""
    when: Literal["done", "now", "next", "later", "out"] = "later"
    share: float = 0.0
    kind: str = "song"


class ClearanceRow(Struct, frozen=True):
    """A clearance: its key, its name, how it stands."""

    id: str
    key: str
    name: str
    there: bool
    words: str
    needed: bool
    reading: str | None = None
    position: str = ""
    who: str = ""
    """Who gave (or withdrew) it and how long ago: ``Moves, 1:07 ago``; empty before any word on it."""


class OutletRow(Struct, frozen=True):
    """An outlet and the last word on it."""

    id: str
    name: str
    words: str
    tone: Tone


def order_rows(book: RunBook, now_ns: int) -> tuple[OrderRow, ...]:
    """The running order as it stands."""
    state = book.state
    rows: list[OrderRow] = []
    for i, item in enumerate(book.compiled.items):
        planned = item.planned.item
        length_s = float(planned.length_s)
        row = OrderRow(planned.id, planned.name, span(length_s), kind=planned.kind)
        rows += [_slipped_row(one, now_ns) for one in book.slipped if one.before == planned.id]
        at_ns = state.item_ns(now_ns) if i == state.item else None
        if at_ns is not None:
            at_s = at_ns / NS
            over = drift(at_s - length_s) if at_s > length_s + 0.5 else ""
            share = min(1.0, max(0.0, at_s / length_s))  # before 0 while its timecode is still to start
            rows.append(replace(row, when="now", share=share, over=over))
        elif i == state.place.item and state.phase != "ended":
            rows.append(replace(row, when="next"))
        elif planned.id in book.lengths_s:
            actual_s = book.lengths_s[planned.id]
            over = "" if round(actual_s - length_s) == 0 else drift(actual_s - length_s)
            rows.append(replace(row, when="done", length=span(actual_s), over=over))
        elif planned.id in book.skipped_items or i < state.place.item:
            rows.append(replace(row, when="out"))
        else:
            rows.append(row)
    return (*rows, *(_slipped_row(one, now_ns) for one in book.slipped if not one.before))


def _slipped_row(one: Slipped, now_ns: int) -> OrderRow:
    """An item that is not in the plan: all of its length is more than was planned."""
    length_s = (now_ns - one.since_ns) / NS if one.length_s is None else one.length_s
    when: Literal["now", "done"] = "now" if one.length_s is None else "done"
    return OrderRow(one.name, one.name, span(length_s), drift(length_s), when, kind="not planned")


def remaining_s(book: RunBook, now_ns: int) -> float:
    """Planned seconds from now to the end of the show, what is on running at least to its planned end."""
    state = book.state
    total = 0.0
    for i, base_s in item_bases(book, now_ns):
        total = max(total, base_s + float(book.compiled.items[i].planned.item.length_s))
    return 0.0 if state.phase == "ended" else total


def running_over_s(book: RunBook, now_ns: int) -> float | None:
    """How much later than planned the show will end, from when it began; None before it has."""
    state = book.state
    if state.begun_ns is None:
        return None
    first = min(book.compiled.item_index[i] for i in book.started_ns) if book.started_ns else 0
    planned_s = float(book.compiled.plan.length_s - book.compiled.plan.starts_s[first])
    return (now_ns - state.begun_ns) / NS + remaining_s(book, now_ns) - planned_s


def figures(
    book: RunBook,
    now_ns: int,
    from_wall_ns: int,
    ahead: Forecast,
    cut: Advice | None = NOTHING,
    never_run: int = 0,
) -> tuple[Figure, ...]:
    """The strip of times; ``ahead`` is the show's forecast, in seconds from ``from_wall_ns``."""
    state = book.state
    last_ns = state.moments.get("last note")
    now_ns = last_ns or book.ended_ns or now_ns  # the show's length stands once it is over
    planned = book.compiled.items[state.item].planned
    at_ns = state.item_ns(now_ns)
    show_s = None if state.begun_ns is None else (now_ns - state.begun_ns) / NS
    rows = [Figure("show", span(show_s) if show_s is not None else "–:––", "since the first go")]
    length = span(planned.item.length_s)
    if state.unplanned is not None and at_ns is None:
        on_s = (now_ns - state.unplanned.since_ns) / NS
        rows.append(Figure("not in the plan", span(on_s), state.unplanned.name, "caution"))
        rows.append(Figure("bar", "–", "", "quiet"))
    elif at_ns is None:
        rows.append(Figure(planned.item.kind, "–:––", f"of {length}", "quiet"))
        rows.append(Figure("bar", "–", "", "quiet"))
    else:
        at_s = at_ns / NS
        past = at_s > float(planned.item.length_s)
        tone: Tone = "caution" if past else "text"
        words, timecode_tone = song_words(book, now_ns) or (f"of {length}", tone)
        rows.append(Figure(planned.item.kind, span(at_s), words, tone if past else timecode_tone))
        rows.append(_bar(book, at_ns))
    over_s = running_over_s(book, now_ns)
    if over_s is None or state.phase == "ended":
        rows.append(Figure("running", "–:––", "", "quiet"))
    else:
        word = "over" if over_s >= 0.5 else "under" if over_s <= -0.5 else "on plan"
        rows.append(Figure("running", drift(over_s), word, "caution" if over_s >= 0.5 else "text"))
    if state.phase == "ended":
        return tuple(rows)
    if last_ns is not None:
        return (*rows, *_after_last_note(book, last_ns))
    return (*rows, *ends(book, from_wall_ns, ahead, cut, never_run))


def _after_last_note(book: RunBook, last_ns: int) -> tuple[Figure, ...]:
    """When the last note was, and whether the curfew was made by it."""
    wall_ns = next(r.wall_ns for r in reversed(book.records) if r.t_ns <= last_ns)
    show = book.compiled.plan.show
    spare_s, at = curfew_s(show, wall_ns), day_time(wall_ns, zone_of(show))
    if spare_s is None:
        return (Figure("last note", at, ""),)
    made = f"curfew made, {span(spare_s)} in hand" if spare_s >= 0 else f"{span(-spare_s)} past curfew"
    return (Figure("last note", at, made, _tone(spare_s >= 0)),)


def ends(
    book: RunBook,
    wall_ns: int,
    ahead: Forecast,
    cut: Advice | None = NOTHING,
    never_run: int = 0,
) -> tuple[Figure, ...]:
    """When the show will end, and whether it makes its curfew; ``cut`` is what to leave out if not,
    ``never_run`` how many of the items to come have no length but the plan's."""
    zone = zone_of(book.compiled.plan.show)
    end, low, high = (
        day_time(wall_ns + int(s * 1e9), zone) for s in (ahead.end_s, ahead.low_s, ahead.high_s)
    )
    spread = ahead.low_s < ahead.high_s
    label = f"projected end · {never_run} never run" if never_run else "projected end"
    if book.state.delay_until_ns is not None:
        label = "projected end · with the delay"
    rows = [Figure(label, end, f"{low[:5]} to {high[:5]}, 90 % range" if spread else "")]
    curfew = book.compiled.plan.show.curfew
    if curfew is not None and ahead.p_make is not None and ahead.spare_s is not None:
        spare = f"{span(abs(ahead.spare_s))} {'in hand' if ahead.spare_s >= 0 else 'past curfew'}"
        good = ahead.p_make >= MAKE_IT
        if not good:
            if cut is None:
                spare = "cuts are not enough"
            elif cut.names:
                then = day_time(wall_ns + int(cut.end_s * 1e9), zone)[:5]
                spare = f"ends {then} if cut: {' and '.join(cut.names)}"
        rows.append(Figure(f"chance of making {curfew[:5]}", percent(ahead.p_make), spare, _tone(good)))
    return tuple(rows)


def _tone(good: bool) -> Tone:
    return "text" if good else "caution"


def _bar(book: RunBook, at_ns: int) -> Figure:
    planned = book.compiled.items[book.state.item].planned

    position = planned.bar_at(Fraction(at_ns, NS))
    if position is None or not isinstance(planned.item, Song) or planned.tempo is None:
        return Figure("bar", "–", "no tempo", "quiet")
    bar, beat = position
    if bar < 1:
        downbeat_s = float(planned.item.downbeat_s) - at_ns / NS
        return Figure("bar", "–", f"downbeat in {span(downbeat_s)}", "quiet")
    section = [s.name for s in planned.item.sections if s.bar <= bar]
    bpm = planned.tempo.bpm(Fraction(at_ns, NS) - planned.item.downbeat_s)
    name = section[-1] if section else ""
    note = f"{name} · {float(bpm):.0f} bpm" if name else f"{float(bpm):.0f} bpm"
    return Figure("bar", f"{bar} / {int(beat)}", note)


def clearance_rows(book: RunBook, now_ns: int) -> tuple[ClearanceRow, ...]:
    """Clearances in the document's order, keyed 1 to 9, with whether anything to come soon needs them."""
    state = book.state
    needed = asked_for(book)
    if state.phase == "ended" and book.records:  # as it stood when the run ended, whatever the clock is now
        now_ns = book.records[-1].t_ns
    rows = []
    for n, clearance in enumerate(book.compiled.plan.show.clearances):
        there, words = standing(book.compiled, state, clearance.id, now_ns)
        unit = clearance.unit if clearance.kind == "reading" else None
        key = str(n + 1) if n < 9 else ""
        given = state.clearances.get(clearance.id)
        who = ""
        if given is not None:  # a word is its position's; whoever took it away did that himself
            by = clearance.position if given.ok else given.by or clearance.position
            who = f"{by}, {span(max(0, now_ns - given.at_ns) / NS)} ago"
        rows.append(
            ClearanceRow(
                clearance.id,
                key,
                clearance.name,
                there,
                words,
                clearance.id in needed,
                unit,
                clearance.position,
                who,
            )
        )
    return tuple(rows)


def asked_for(book: RunBook) -> set[str]:
    """Clearances that a cue still to come, or a leg still to be walked, of this or the next item needs."""
    state, compiled = book.state, book.compiled
    following = state.item + 1 if state.place.item == state.item else state.place.item
    needed: set[str] = set()
    for i in {state.item, following} & set(range(len(compiled.items))):
        planned = compiled.items[i].planned
        to_come = open_cues(state, i, range(len(planned.cues)))
        needed |= {n for k in to_come for n in planned.cues[k].cue.needs}
        if planned.item.kind == "walk-on":
            legs = [leg for r in compiled.plan.show.routes if r.id == planned.item.route for leg in r.legs]
            walked = {step for item, step in state.walked if item == planned.item.id}
            needed |= {n for leg in legs if leg.name not in walked for n in leg.clearances}
    for page in compiled.plan.show.pages:  # what an open page asks before starting again
        opened = state.pages.get(page.id)
        if opened is not None:
            lines = [line for n, line in enumerate(page.lines, 1) if n not in opened.ticks]
            needed |= {line.clearance for line in lines if line.clearance is not None}
    return needed


def outlet_rows(book: RunBook) -> tuple[OutletRow, ...]:
    """Outlets with the last word on each; before a run is open they are not."""
    rows = []
    for outlet in book.compiled.plan.show.outlets:
        word = book.outlets.get(outlet.id, OutletWord())
        if book.state.phase == "idle":
            rows.append(OutletRow(outlet.id, outlet.name, "not open", "quiet"))
        elif book.state.is_muted(outlet.id):
            rows.append(OutletRow(outlet.id, outlet.name, "muted", "caution"))
        elif word.state == "open":
            words = "ready" if word.late_ms is None else f"{max(0.0, word.late_ms):.1f} ms"
            rows.append(OutletRow(outlet.id, outlet.name, words, "quiet"))
        else:
            rows.append(OutletRow(outlet.id, outlet.name, word.why or word.state, "missed"))
    return tuple(rows)


def timecode_rows(book: RunBook, now_ns: int) -> tuple[OutletRow, ...]:
    """Where timecode comes in, if the show has it, to stand below the outlets."""
    said = source_words(book, now_ns)
    return () if said is None else (OutletRow("timecode in", "Timecode in", *said),)
