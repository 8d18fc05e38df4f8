"""What stood on the wall: 10,000 questions about random runs, against a reading of the state at every frame.

Run: python benchmarks/what_stood.py      some ten seconds; stops at the first answer that is another
The runs have goes, looks by hand, holds, jumps, taps and going back; the questions name sections, bars, times of day
and the last seconds. The strip's lane of tonight is read against the same frames.
"""

import sys
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
for folder in ("support", "review"):
    sys.path.insert(0, str(ROOT / "tests" / folder))


def main() -> None:
    """Ask all of them and keep what was found."""
    from results import keep
    from test_stood import queried
    from test_strip import test_tonight_s_lane_is_what_a_reading_at_every_frame_finds as lanes

    began = time.perf_counter()
    asked = queried(range(40))
    runs = range(200, 260)
    for seed in runs:
        lanes(seed)
    found: dict[str, Any] = {
        "what": "questions what stood, and lanes of tonight, against a reading at every frame",
        "questions": asked, "otherwise than the reading": 0, "runs whose lanes were read": len(runs),
        "lanes otherwise": 0, "seconds": round(time.perf_counter() - began, 1),
    }  # fmt: skip
    print(found)
    keep("what_stood", found)


if __name__ == "__main__":
    main()
