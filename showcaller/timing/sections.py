"""Where a song's sections begin and end. Pure."""

from fractions import Fraction

from showcaller.model import Song
from showcaller.timing.plan import PlannedItem
from showcaller.values import Struct


class SectionSpan(Struct, frozen=True):
    """A section from ``start_s`` up to ``end_s`` (seconds into the item), the last one to the item's end."""

    name: str
    start_s: Fraction
    end_s: Fraction
    vamp: bool = False


def section_spans(planned: PlannedItem) -> tuple[SectionSpan, ...]:
    """A song's sections in the order of their bars; none for what has no bars or no sections."""
    item = planned.item
    if not isinstance(item, Song) or planned.tempo is None or not item.sections:
        return ()
    found = sorted(item.sections, key=lambda s: s.bar)
    starts = [item.downbeat_s + planned.tempo.seconds(s.bar) for s in found]
    ends = [*starts[1:], max(Fraction(item.length_s), starts[-1])]
    return tuple(
        SectionSpan(s.name, start, end, s.vamp) for s, start, end in zip(found, starts, ends, strict=True)
    )
