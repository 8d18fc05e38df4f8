"""Write ``breakwater.json`` again from its readable parts: ``python sample_shows/build_breakwater.py``."""

from __future__ import annotations

from pathlib import Path

from breakwater_order import write
from breakwater_rig import TOP
from cue_script import RunningOrder

from showcaller.model import Show
from showcaller.model.document import write_show

TARGET = Path(__file__).parent / "breakwater.json"


def build() -> Show:
    """The sample show as a value."""
    order = RunningOrder()
    write(order)
    return order.show(TOP)


if __name__ == "__main__":
    write_show(build(), TARGET)
