"""Records of a short invented run."""

from typing import Any

from showcaller.run.runlog import Record

NS = 1_000_000_000
EVENING = 1_760_000_000 * NS


def make_records(steps: int = 20, *, finished: bool = True, caller: str = "Ada") -> list[Record]:
    """A run of ``steps`` records, the first opening it, the last ending it if ``finished``."""
    records: list[Record] = []
    for seq in range(1, steps + 1):
        events: tuple[dict[str, Any], ...] = ()
        given: dict[str, Any] = {"kind": "tick"}
        if seq == 1:
            given = {"kind": "start", "caller": caller, "muted": True, "simulated": 7}
            events = (
                {
                    "kind": "run_started",
                    "show": "pier",
                    "digest": "",
                    **{k: given[k] for k in list(given)[1:]},
                },
                {"kind": "item_started", "item": "hello", "at_s": 0, "planned_start_s": 0},
            )
        elif seq == steps and finished:
            given = {"kind": "end", "why": "curtain"}
            events = (
                {"kind": "item_ended", "item": "hello", "length_s": 61.25, "planned_s": 60},
                {"kind": "run_ended", "why": "curtain", "show_s": 61.25},
            )
        elif seq % 3 == 0:
            given = {"kind": "note", "text": f"line {seq} – „quoted“ \u0000 and\nbroken"}
            events = (
                {"kind": "fired", "item": "hello", "cue": f"hello-lx-{seq}", "go": None,
                 "planned_s": seq + 0.1, "actual_s": seq + 0.30000000000000004, "by": "go"},
            )  # fmt: skip
        records.append(Record(seq, seq * NS + 17, EVENING + seq * NS, given, events))
    return records
