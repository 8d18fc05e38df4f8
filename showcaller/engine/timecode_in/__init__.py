"""Timecode coming in: a port that hears it, and what the engine's loop makes of what is heard."""

from showcaller.engine.timecode_in.base import Heard, Post, TimecodePort
from showcaller.engine.timecode_in.feed import TimecodeFeed
from showcaller.engine.timecode_in.mtc import MtcPort
from showcaller.engine.timecode_in.opening import open_timecode_in

__all__ = ["Heard", "MtcPort", "Post", "TimecodeFeed", "TimecodePort", "open_timecode_in"]
