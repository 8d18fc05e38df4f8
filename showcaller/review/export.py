"""Tables and waterfalls as CSV (RFC 4180) and JSON, for whoever works with them elsewhere."""

import csv
import io
import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from showcaller.editing.cellwords import harmless
from showcaller.review.stats import DepartmentStats
from showcaller.review.tables import CueRow, ItemRow
from showcaller.review.timeline import NS
from showcaller.review.trend import TrendPoint
from showcaller.review.waterfall import Part, Waterfall
from showcaller.values import asdict

Row = ItemRow | CueRow | DepartmentStats | Part | TrendPoint


def to_csv(rows: Sequence[Row]) -> str:
    """Rows of one kind with a line of headings; lines end in CRLF. Empty for no rows."""
    if not rows:
        return ""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    names = rows[0].__struct_fields__
    writer.writerow(names)
    writer.writerows([_cell(getattr(row, name)) for name in names] for row in rows)
    return text.getvalue()


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return harmless(value) if isinstance(value, str) else value


def to_json(
    fall: Waterfall, items: Sequence[ItemRow], cues: Sequence[CueRow], stats: Sequence[DepartmentStats] = ()
) -> str:
    """A whole review: summary figures, bars and parts in seconds, items, cues and departments."""
    body: Mapping[str, Any] = {
        "format": "showcaller/review",
        "version": 1,
        "finished": fall.finished,
        "planned_start_wall_ns": fall.planned_start_wall_ns,
        "start_wall_ns": fall.start_wall_ns,
        "planned_end_wall_ns": fall.planned_end_wall_ns,
        "end_wall_ns": fall.end_wall_ns,
        "total_s": fall.total_ns / NS,
        "bars": [{"label": bar.label, "s": bar.ns / NS} for bar in fall.bars()],
        "parts": [
            {"kind": p.kind, "group": p.group, "name": p.name, "item": p.item, "s": p.ns / NS}
            for p in fall.parts
        ],
        "items": [asdict(row) for row in items],
        "cues": [asdict(row) for row in cues],
        "departments": [asdict(row) for row in stats],
    }
    return json.dumps(body, ensure_ascii=False, indent=1, default=_plain) + "\n"


def _plain(value: object) -> object:
    if isinstance(value, Decimal):
        return str(value)
    raise TypeError(f"{value!r} has no place in JSON")
