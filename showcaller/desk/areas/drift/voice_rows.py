"""What was spoken and not keyed, as lines of the list of calling. No Qt."""

from collections.abc import Sequence

from showcaller.desk.areas.drift.lists import Row
from showcaller.review.voice import LineHeard, ShowLine, not_keyed
from showcaller.run.runlog import Record


def voice_rows(
    lines: Sequence[ShowLine], records: Sequence[Record], heard: Sequence[LineHeard]
) -> tuple[Row, ...]:
    """Standbys and warnings that were spoken and not keyed, and the other way round; none without a voice."""
    if not heard:
        return ()
    spoken, silent = not_keyed(lines, records, heard)
    told = [("spoken, its key was not pressed", x) for x in spoken]
    told += [("keyed, not heard in the headset track", x) for x in silent]
    rows = [Row("voice", f"{x.text}: {what}", tone="caution", t_ns=x.t_ns) for what, x in told]
    return tuple(sorted(rows, key=lambda row: row.t_ns or 0))
