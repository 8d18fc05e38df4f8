"""Records of a short invented run."""

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record

NS = 1_000_000_000
EVENING = 1_760_000_000 * NS


def make_records(steps: int = 20, *, finished: bool = True, caller: str = "Ada") -> list[Record]:
    """A run of ``steps`` records, the first opening it, the last ending it if ``finished``."""
    records: list[Record] = []
    for seq in range(1, steps + 1):
        events: tuple[ev.Event, ...] = ()
        given: c.Input = c.Tick()
        if seq == 1:
            given = c.Start(caller, True, 7)
            events = (
                ev.RunStarted(show="pier", digest="", caller=caller, muted=True, simulated=7),
                ev.ItemStarted(item="hello", at_s=0, planned_start_s=0),
            )
        elif seq == steps and finished:
            given = c.End("curtain")
            events = (
                ev.ItemEnded(item="hello", length_s=61.25, planned_s=60),
                ev.RunEnded(why="curtain", show_s=61.25),
            )
        elif seq % 3 == 0:
            given = c.WriteNote(f"line {seq} – „quoted“ \u0000 and\nbroken")
            events = (
                ev.Fired(
                    item="hello", cue=f"hello-lx-{seq}", go=None, planned_s=seq + 0.1,
                    actual_s=seq + 0.30000000000000004, by="go",
                ),
            )  # fmt: skip
        records.append(Record(seq, seq * NS + 17, EVENING + seq * NS, given, events))
    return records
