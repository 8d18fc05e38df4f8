"""A cue's form."""

from typing import Any

from showcaller.editing.changes import ChangeError, SetFields
from showcaller.editing.cues import cue_of, cue_path, item_of
from showcaller.editing.forms.field import Edited, FieldText, one_of, seconds_of, seconds_text
from showcaller.editing.forms.look_change import look_change_text, parse_look_change
from showcaller.editing.forms.messages import message_hint, message_text, parse_message
from showcaller.editing.placing import HINT, anchor_text, cue_name, parse_anchor
from showcaller.model import Cue, Show
from showcaller.model.anchors import BY_EAR_OR_EYE

_HAZARDS = ("pyrotechnics", "moving scenery", "lift", "laser", "flying", "other")


def cue_fields(show: Show, cue_id: str) -> tuple[FieldText, ...]:
    """A cue's fields, as they are."""
    cue = cue_of(show, cue_id)
    department = show.department(cue.department)
    outlets = ", ".join(o.name for o in show.outlets) or "none yet"
    sends = [
        FieldText(f"message:{n}", "sends" if n == 0 else "", message_text(show, m), message_hint(show, ":"))
        for n, m in enumerate(cue.messages)
    ]
    looks = ", ".join(k.name for k in show.looks[:6]) or "none yet"
    clearances = ", ".join(c.name for c in show.clearances) or "none yet"
    return (
        FieldText("label", "what", cue.label, "what happens, in a few words"),
        FieldText("anchor", "when", anchor_text(cue.anchor, show, item_of(show, cue_id)), HINT),
        FieldText("department", "who", department.name, ", ".join(d.name for d in show.departments)),
        FieldText("number", "number", str(cue.number), "a number such as 12 or 12.5, free in its department"),
        FieldText(
            "fires",
            "fires",
            "automatic" if cue.fires == "by itself" else cue.fires,
            "called, or automatic at its time",
        ),
        FieldText(
            "standby_s", "standby", seconds_text(cue.standby_s), "seconds before the go, at the latest"
        ),
        FieldText("warning_s", "warning", seconds_text(cue.warning_s), "seconds before; empty for none"),
        *sends,
        FieldText(
            f"message:{len(sends)}",
            "sends" if not sends else "",
            "",
            f"one more message: an output, a colon, the message. Outputs: {outlets}",
        ),
        FieldText(
            "look",
            "look",
            look_change_text(show, cue.look),
            f"a look, and how: mix 2 is over 2 beats ({looks})",
        ),
        FieldText("needs", "needs", _names(show, cue), f"clearances, with commas between ({clearances})"),
        FieldText(
            "hazard",
            "hazard",
            ""
            if cue.hazard is None
            else f"{cue.hazard.kind}; {cue.hazard.caution}; {cue.hazard.responsible}",
            f"kind; caution to show; who answers for it. Kinds: {', '.join(_HAZARDS)}",
        ),
        FieldText("notes", "note", cue.notes, "for whoever calls or runs this"),
    )


def edit_cue(show: Show, cue_id: str, key: str, text: str) -> Edited:
    """What typing ``text`` into the field ``key`` of a cue does.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    item, cue = item_of(show, cue_id), cue_of(show, cue_id)
    name = cue_name(show, cue)
    before = next(f.text for f in cue_fields(show, cue_id) if f.key == key)
    if text.strip() == before:
        return Edited("", None)
    fields: dict[str, Any]
    if key == "anchor":
        fields = {"anchor": parse_anchor(text, show, item)}
        if cue.fires == "by itself" and fields["anchor"]["at"] in BY_EAR_OR_EYE:
            fields["fires"] = "called"  # what is seen or heard cannot fire by itself
        if fields["anchor"]["at"] == "after" and cue.anchor.at != "after" and cue.hazard is None:
            fields["fires"] = "by itself"  # that is what following means, until somebody says otherwise
    elif key == "department":
        fields = {"department": one_of(text, [(d.id, (d.name, d.letters)) for d in show.departments], "who")}
    elif key == "fires":
        fields = {
            "fires": one_of(
                text,
                [("called", ()), ("by itself", ("automatic", "by itself", "itself", "auto", "follows"))],
                "fires",
            )
        }
    elif key == "standby_s":
        fields = {"standby_s": seconds_of(text, "standby")}
    elif key == "warning_s":
        fields = {"warning_s": seconds_of(text, "warning") if text.strip() else None}
    elif key.startswith("message:"):
        fields = {"messages": _messages(show, cue, int(key.partition(":")[2]), text)}
    elif key == "look":
        fields = {"look": parse_look_change(show, text, cue.look)}
    elif key == "needs":
        fields = {"needs": parse_needs(show, text)}
    elif key == "hazard":
        fields = {"hazard": parse_hazard(text)}
        if fields["hazard"] is not None and cue.fires == "by itself":
            fields["fires"] = "called"
    else:
        fields = {key: text.strip()}
    return Edited(f"{_label(key)} of {name}", SetFields(at=cue_path(item.id, cue_id), fields=fields))


def _label(key: str) -> str:
    names = {
        "anchor": "when",
        "label": "what",
        "standby_s": "standby",
        "warning_s": "warning",
        "department": "who",
    }
    return names.get(key, "message" if key.startswith("message") else key)


def _messages(show: Show, cue: Cue, index: int, text: str) -> list[dict[str, Any]]:
    messages = [m.model_dump(mode="json", exclude_defaults=True) for m in cue.messages]
    new = [parse_message(show, text)] if text.strip() else []
    return [*messages[:index], *new, *messages[index + 1 :]]


def _names(show: Show, cue: Cue) -> str:
    names = {c.id: c.name for c in show.clearances}
    return ", ".join(names[n] for n in cue.needs)


def parse_needs(show: Show, text: str) -> list[str]:
    """Clearances' ids from their names with commas between.

    Raises:
        ChangeError: there is no such clearance.
    """
    choices = [(c.id, (c.name,)) for c in show.clearances]
    return [one_of(word, choices, "clearance") for word in text.split(",") if word.strip()]


def parse_hazard(text: str) -> dict[str, str] | None:
    """A hazard from ``kind; caution; who answers for it``; None for nothing.

    Raises:
        ChangeError: a part is missing.
    """
    if not text.strip():
        return None
    # A caution may hold semicolons of its own.
    kind, _, rest = text.partition(";")
    caution, _, responsible = rest.rpartition(";")
    if not all(part.strip() for part in (kind, caution, responsible)):
        raise ChangeError(
            "hazard: give three parts with semicolons between: kind; caution; who answers for it"
        )
    return {
        "kind": one_of(kind, [(k, ()) for k in _HAZARDS], "hazard"),
        "caution": caution.strip(),
        "responsible": responsible.strip(),
    }
