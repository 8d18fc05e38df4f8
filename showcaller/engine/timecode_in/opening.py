"""The port that a show's timecode comes in by."""

from showcaller.engine.timecode_in.base import Post, TimecodePort
from showcaller.engine.timecode_in.mtc import MtcPort
from showcaller.model import MtcIn, TimecodeIn
from showcaller.run.events import Reporter


def open_timecode_in(source: TimecodeIn, rate: str, post: Post, report: Reporter) -> TimecodePort:
    """An open port. Never raises for a device that is not there: it reports, and tries on."""
    if isinstance(source, MtcIn):
        return MtcPort(source, rate, post, report)
    # Sound needs numpy, which would make every other engine start a tenth of a second later.
    from showcaller.engine.timecode_in.ltc import LtcPort  # noqa: PLC0415

    return LtcPort(source, rate, post, report)
