"""How departments' desks report, as lines of text: which message, from where, means which cue."""

import re
from collections.abc import Sequence
from typing import Any

from pydantic import TypeAdapter, ValidationError

from showcaller.editing.changes import ChangeError
from showcaller.editing.forms.field import one_of
from showcaller.model import OscTcpOutlet, Show
from showcaller.model.reports import DeskReport, MidiMeans, MscReports, OscMeans, OscReports, TcpReports
from showcaller.values import Struct

HINT = (
    "Lights: osc 8000 from 10.0.0.5 as /cue/{cue}/fired · Sound: osc over its output as /fired {cue} "
    "· Video: show control its port · Moves: notes its port; 60 = 12"
)
"""What may be typed."""

_UDP = re.compile(r"^(?:(\S+):)?(\d+)\s+from\s+(.+?)(?:\s+as\s+(.+))?$", re.IGNORECASE)
_OVER = re.compile(r"^over\s+(.+?)(?:\s+as\s+(.+))?$", re.IGNORECASE)
_ADAPTER: TypeAdapter[DeskReport] = TypeAdapter(DeskReport)


class ReportLine(Struct, frozen=True):
    """A way in which a department's desk reports: its place among them, and as it is typed."""

    department: str
    index: int
    text: str


def report_lines(show: Show) -> tuple[ReportLine, ...]:
    """All of them, by department."""
    return tuple(
        ReportLine(d.id, n, f"{d.name}: {_text(show, report)}")
        for d in show.departments
        for n, report in enumerate(d.reports)
    )


def _text(show: Show, report: DeskReport) -> str:
    match report:
        case OscReports():
            host = "" if report.host == "0.0.0.0" else f"{report.host}:"
            where = f"osc {host}{report.port} from {' '.join(report.allow)}"
            return _with_cues(where + _as(report.address), report.cues)
        case TcpReports():
            name = next((o.name for o in show.outlets if o.id == report.outlet), report.outlet)
            return _with_cues(f"osc over {name}{_as(report.address)}", report.cues)
        case MscReports():
            device = "" if report.device is None else f"; device {report.device}"
            return f"show control {report.port}{device}" + (f"; list {report.list}" if report.list else "")
        case _:
            channel = "" if report.channel == 1 else f"; channel {report.channel}"
            return _with_cues(f"{report.kind} {report.port}{channel}", report.cues)


def _as(address: str | None) -> str:
    return "" if address is None else f" as {address}"


def _with_cues(head: str, cues: Sequence[OscMeans | MidiMeans]) -> str:
    means = [f"{m.address if isinstance(m, OscMeans) else m.number} = {m.cue}" for m in cues]
    return "; ".join((head, *means))


def parse_report(show: Show, text: str) -> tuple[str, dict[str, Any]]:
    """(the department's id, the report in the document's form).

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    name, colon, rest = text.partition(":")
    if not colon or not rest.strip():
        raise ChangeError(f"'{text}' needs a department, a colon and how its desk reports; give {HINT}")
    department = one_of(name, [(d.id, (d.name, d.letters)) for d in show.departments], "department")
    head, *more = [part.strip() for part in rest.split(";")]
    word = head.split(" ")[0].lower()
    if word == "osc":
        part = _osc(show, head[3:].strip(), more)
    elif head.lower().startswith("show control "):
        part = {"kind": "msc", "port": head[13:].strip(), **_named(more, ("device", "list"))[0]}
    elif word in ("notes", "programs", "programmes"):
        fields, cues = _named(more, ("channel",), "number")
        kind = "notes" if word == "notes" else "programs"
        part = {"kind": kind, "port": head.partition(" ")[2].strip(), **fields}
        if cues:
            part["cues"] = cues
    else:
        raise ChangeError(f"'{head}' is not a way to report; give {HINT}")
    try:
        _ADAPTER.validate_python(part)
    except ValidationError as error:
        first = error.errors()[0]
        words = str(first["msg"]).removeprefix("Value error, ")
        field = first["loc"][-1] if first["loc"] else ""
        raise ChangeError(words if "; give" in words else f"{field}: {words.lower()}; give {HINT}") from None
    return department, part


def _osc(show: Show, rest: str, more: Sequence[str]) -> dict[str, Any]:
    _, cues = _named(more, (), "address")
    part: dict[str, Any] = {"cues": cues} if cues else {}
    over = _OVER.match(rest)
    if over:
        outlets = [(o.id, (o.name,)) for o in show.outlets if isinstance(o, OscTcpOutlet)]
        outlet = one_of(over.group(1), outlets, "output over TCP")
        return {"kind": "osc_tcp", "outlet": outlet, **_pattern(over.group(2)), **part}
    udp = _UDP.match(rest)
    if udp is None:
        raise ChangeError(f"'osc {rest}' does not say where it is heard and from whom; give {HINT}")
    host, port, allow, pattern = udp.groups()
    at = {"host": host} if host else {}
    senders = [a for a in re.split(r"[\s,]+", allow) if a]
    return {"kind": "osc", **at, "port": int(port), "allow": senders, **_pattern(pattern), **part}


def _pattern(text: str | None) -> dict[str, str]:
    return {} if text is None else {"address": text.strip()}


def _named(
    parts: Sequence[str], fields: Sequence[str], means: str = ""
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """(``device 3`` as fields, ``60 = 12`` as what means which cue)."""
    found: dict[str, Any] = {}
    cues: list[dict[str, Any]] = []
    for part in filter(None, parts):
        key, _, value = part.partition(" ")
        left, equals, cue = part.partition("=")
        if means and equals and cue.strip():
            message = left.strip()
            cues.append({means: int(message) if message.isdigit() else message, "cue": cue.strip()})
        elif key.lower() in fields and value.strip():
            plain = value.strip()
            found[key.lower()] = int(plain) if plain.isdigit() and key.lower() != "list" else plain
        else:
            raise ChangeError(f"'{part}' is not understood; give {HINT}")
    return found, cues
