"""Reviews taken elsewhere: CSV after RFC 4180, JSON."""

import csv
import io
import json

from night import DOORS, NS, PLAN, plain_night

from showcaller.review.export import to_csv, to_json
from showcaller.review.stats import department_stats
from showcaller.review.tables import cue_table, item_table
from showcaller.review.waterfall import waterfall
from showcaller.values import replace


def test_csv_quotes_as_rfc_4180_says_and_reads_back() -> None:
    """RFC 4180, 2: lines end in CRLF; commas, quotes and breaks are quoted, a quote doubled."""
    rows = [replace(r, label='a"b', why="one, two\nthree") for r in cue_table(PLAN, plain_night().records)]
    text = to_csv(rows)
    assert '"a""b"' in text
    assert '"one, two\nthree"' in text
    head, *body = csv.reader(io.StringIO(text, newline=""))
    assert text.count("\r\n") == len(rows) + 1
    assert head[:5] == ["cue", "item", "department", "number", "label"]
    assert len(body) == len(rows)
    assert all(len(line) == len(head) for line in body)
    refused = dict(zip(head, body[7], strict=True))
    assert (refused["status"], refused["actual_s"], refused["firm"]) == ("refused", "", "yes")
    assert to_csv([]) == ""


def test_json_has_the_whole_review() -> None:
    records = plain_night().records
    fall = waterfall(PLAN, records, planned_start_wall_ns=DOORS + 10 * NS)
    cues = cue_table(PLAN, records)
    body = json.loads(to_json(fall, item_table(PLAN, records), cues, department_stats(cues)))
    assert body["total_s"] == 45
    assert {b["label"]: b["s"] for b in body["bars"]}["talks"] == 74
    assert [i["item"] for i in body["items"]] == ["song", "talk", "walk", "change", "last"]
    assert body["cues"][2]["number"] == "2.5"
    assert [d["department"] for d in body["departments"]] == ["Lights", "Moves"]
    assert (body["format"], body["version"]) == ("showcaller/review", 1)
