"""What the departments' desks have told, in the words of the call area: seen, not seen, by itself. Pure."""

from showcaller.calling.status_view import OutletRow
from showcaller.run.reported import words_on
from showcaller.run.runbook import RunBook

_AT_ONCE = 2


def desk_rows(book: RunBook, now_ns: int) -> tuple[OutletRow, ...]:
    """A line for each cue that came by itself, one for those not seen, newest first; then for each department
    whose desk reports how it was heard last."""
    if book.state.phase == "idle":
        return ()
    rows = []
    words = list(words_on(book.compiled.plan, book.reported, now_ns))
    for seen in [w for w in words if w.what == "by itself"][:_AT_ONCE]:
        sentence = f"{book.cue_name(seen.cue)} fired by itself at its desk"
        rows.append(OutletRow(f"by itself {seen.cue}", sentence, "", "caution"))
    unseen = [book.cue_name(w.cue) for w in words if w.what == "not seen"]
    if unseen:
        rest = f" and {len(unseen) - _AT_ONCE} more" if len(unseen) > _AT_ONCE else ""
        rows.append(OutletRow("not seen", f"{', '.join(unseen[:_AT_ONCE])}{rest}: not seen", "", "text"))
    return (*rows, *_desks(book))


def _desks(book: RunBook) -> tuple[OutletRow, ...]:
    rows = []
    for department in book.compiled.plan.show.departments:
        if not department.reports:
            continue
        port = book.desk_ports.get(department.id)
        name, ident = f"{department.name} desk", f"desk {department.id}"
        if port is not None and port.state == "closed":
            rows.append(OutletRow(ident, name, port.why, "caution"))
            continue
        told = (t for t in reversed(book.reported.told) if t.done_ns is not None)
        last = next((t for t in told if _of(book, t.cue) == department.id), None)
        if last is None:
            rows.append(OutletRow(ident, name, "listening", "quiet"))
            continue
        number = book.cue_name(last.cue).rpartition(" ")[2]
        took = "" if last.took_s is None else f", {last.took_s:+.2f} s".replace("-", "−")
        rows.append(OutletRow(ident, name, f"{number} done{took}", "quiet"))
    return tuple(rows)


def _of(book: RunBook, cue: str) -> str:
    at = book.compiled.where.get(cue)
    return "" if at is None else book.compiled.items[at[0]].planned.cues[at[1]].cue.department
