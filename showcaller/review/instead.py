"""This instead: another look or source where the recording shows that one would have been better. Pure."""

from collections.abc import Sequence
from fractions import Fraction

from showcaller.editing import Change, ChangeError, SetFields, Together, apply
from showcaller.editing.cues import add_cue
from showcaller.editing.forms.field import names_told, one_of
from showcaller.editing.snapping import anchor_near
from showcaller.model import Look, LookChange, Override, Show
from showcaller.review.clock_path import Stretch, place_at
from showcaller.review.errors import ReviewError
from showcaller.review.windows import counted_sections
from showcaller.run.compiled import NS
from showcaller.run.kept_changes import department_for
from showcaller.screen.cameras import shot_change, shot_from
from showcaller.screen.looks import layer_keys, overridden
from showcaller.timing.plan import Plan, PlannedCue, PlannedItem, compile_plan
from showcaller.values import Struct

ITS_CUE_S = 2.0
"""So near to where a look comes it is that cue that is meant; later it is a new one (our choice: a bar)."""
_BEFORE_S = 0.5
ASKED = "this instead: "
"""Before what was asked for, in the word on an idea: so it can be found whether the book has it."""


class AlreadyThereError(ChangeError):
    """The book has what is asked for."""


class BookPlace(Struct, frozen=True):
    """Where a moment of the recording is in the book: the item, seconds into it, in words, and the cue whose
    look stands there as planned."""

    planned: PlannedItem
    at_s: float
    words: str
    cue: PlannedCue | None
    look: Look | None


def book_place(plan: Plan, path: Sequence[Stretch], t_ns: int, book: Show) -> BookPlace:
    """The place in the book of an instant of the run.

    Raises:
        ReviewError: no item was on then, or the book does not have it any more.
    """
    place = place_at(path, t_ns)
    if place is None:
        raise ReviewError("no item was on at this moment, so there is no place in the book for it")
    name = plan.items[place[0]].item
    planned = next((p for p in compile_plan(book).items if p.item.id == name.id), None)
    if planned is None:
        raise ReviewError(f"'{name.name}' is not in the book any more, so nothing can be changed there")
    at_s = place[1] / NS
    brings = [c for c in planned.cues if c.cue.look is not None and float(c.at_s) <= at_s + _BEFORE_S]
    cue = max(brings, key=lambda c: c.at_s, default=None)
    change = None if cue is None else cue.cue.look
    known = {k.id: k for k in book.looks}
    look = None if change is None else overridden(known[change.look], change.overrides)
    bar = planned.bar_number_at(Fraction(round(at_s * 1000), 1000))
    if cue is None or at_s - float(cue.at_s) > ITS_CUE_S:  # there it will be a new cue, on the nearest beat
        anchor = anchor_near(planned, at_s)
        bar = anchor["bar"] if anchor["at"] == "bar" else bar
    where = f"bar {max(1, bar)}" if bar is not None else f"{at_s:.0f} s"
    return BookPlace(planned, at_s, f"{where} of {planned.item.name}", cue, look)


def instead(place: BookPlace, book: Show, text: str) -> tuple[str, Change]:
    """(in words, the change) of another look, or another source in the look that stands: by its cue where
    that has just come, else by a new cue there. ``2: hands; 85 mm`` is a camera's shot from here to the end
    of the section, ``2, 65-72: hands`` one with its bars.

    Raises:
        ChangeError: the words name none of them, or no look stands whose source could be another.
    """
    names = [k.name.lower() for k in book.looks] + [s.name.lower() for s in book.sources]
    if ":" in text and not any(text.strip().lower() in name for name in names):
        return _shot(place, book, text)
    kind, _, ident = _meant(book, text).partition(" ")
    was = None if place.cue is None else place.cue.cue.look
    at_its_cue = place.cue is not None and place.at_s - float(place.cue.at_s) <= ITS_CUE_S
    if kind == "look":
        name = next(k.name for k in book.looks if k.id == ident)
        came = was if at_its_cue and was is not None else LookChange(look=ident)
        change = LookChange(look=ident, by=came.by, beats=came.beats, ease=came.ease)
        if was is not None and (was.look, was.overrides) == (ident, ()):
            raise AlreadyThereError(f"the book has “{name}” at {place.words} already: name another")
    else:
        name = next(s.name for s in book.sources if s.id == ident)
        if was is None or place.look is None or not place.look.layers:
            raise ChangeError("no look stands there in the book, so no source can be another: name a look")
        change = _with_source(book, was, place.look, ident)
        if not at_its_cue:
            change = change.changed(by="cut", beats=0.0)
    words = f"“{name}” at {place.words}"
    if at_its_cue and place.cue is not None:
        return words, _brings(place.planned.item.id, place.cue.cue.id, change)
    anchor = anchor_near(place.planned, place.at_s)
    at_s = Fraction(round(place.at_s * 10), 10)
    department = department_for(book, place.planned.item.id)
    added, cue = add_cue(book, place.planned.item.id, department, anchor, at_s, name)
    number = next(c.number for c in apply(book, added)[0].all_cues() if c.id == cue)
    words += f", by a new cue that is called: {book.department(department).name} {number}"
    return words, Together(changes=(added, _brings(place.planned.item.id, cue, change)))


def _shot(place: BookPlace, book: Show, text: str) -> tuple[str, Change]:
    """A camera's shot at that bar.

    Raises:
        ChangeError: it names no camera, or no shot, or the item has no bars.
    """
    camera, _, what = text.partition(":")
    bar = place.planned.bar_number_at(Fraction(round(place.at_s * 1000), 1000))
    if bar is None:
        raise ChangeError("shots are of a song with bars; give it a tempo in the Book first")
    if "," not in camera:
        end_s = next(
            (b for _, a, b in counted_sections(place.planned) if float(a) <= place.at_s < float(b)), None
        )
        after = None if end_s is None else place.planned.bar_number_at(end_s - Fraction(1, 1000))
        camera += f", {max(1, bar)}-{max(1, bar, after or bar)}"
    song = place.planned.item.id
    words, change = shot_change(book, song, None, f"{camera}:{what}")
    fields = shot_from(book, f"{camera}:{what}")
    item = next(i for i in book.items if i.id == song)
    if any(s.model_dump(exclude_defaults=True) == fields for s in getattr(item, "shots", ())):
        raise AlreadyThereError(f"the book has this shot at bar {fields['bar']} already: give another")
    return words, change


def _meant(book: Show, text: str) -> str:
    """``look ID`` or ``source ID``: its name, or words that only one name has in it. No id: what stands on
    the screen are names.

    Raises:
        ChangeError: none has them, or several.
    """
    choices = [(f"look {k.id}", (k.name,)) for k in book.looks]
    choices += [(f"source {s.id}", (s.name,)) for s in book.sources]
    wanted = text.strip().lower()
    having = [(key, name) for key, (name,) in choices if wanted in name.lower()]
    if wanted in (name.lower() for _, name in having) or not having:
        return one_of(text, choices, "look or source")
    if len(having) > 1:
        may = names_told(name for _, name in having)
        raise ChangeError(f"'{text.strip()}' may be {may}: give more of its name")
    return having[0][0]


def asked_in(word: str) -> str:
    """What was asked for *this instead* in the word on an idea; empty where the idea is another's."""
    return word.removeprefix(ASKED) if word.startswith(ASKED) else ""


def still_to_do(
    plan: Plan, path: Sequence[Stretch], t_ns: int, book: Show, asked: str
) -> tuple[str, Change | None, str]:
    """(in words, the change, why there is none) of what was asked for *this instead*; no words and no reason
    where the book has it."""
    try:
        words, change = instead(book_place(plan, path, t_ns, book), book, asked)
        after, _ = apply(book, change)
    except AlreadyThereError:
        return "", None, ""
    except (ChangeError, ReviewError) as error:
        return "", None, str(error)
    return ("", None, "") if after == book else (words, change, "")


def _with_source(book: Show, was: LookChange, look: Look, source: str) -> LookChange:
    """The front layer of the same kind (a camera for a camera) with another source; else the front one."""
    kinds = {s.id: s.kind for s in book.sources}
    keys = layer_keys(look)
    alike = [n for n, layer in enumerate(look.layers) if kinds.get(layer.source) == kinds[source]]
    at = alike[-1] if alike else len(look.layers) - 1
    if look.layers[at].source == source:
        name = next(s.name for s in book.sources if s.id == source)
        raise AlreadyThereError(f"“{look.name}” has “{name}” there already: name another source, or a look")
    own = next(k for k in book.looks if k.id == was.look)
    key = layer_keys(own)[at] if len(own.layers) == len(look.layers) else keys[at]
    before = next((o for o in was.overrides if o.layer == key), Override(layer=key))
    others = tuple(o for o in was.overrides if o.layer != key)
    made: LookChange = was.changed(overrides=(*others, before.changed(source=source)))
    return made


def _brings(item: str, cue: str, change: LookChange) -> Change:
    fields = {"look": change.model_dump(mode="json", exclude_defaults=True)}
    return SetFields(at=("items", item, "cues", cue), fields=fields)
