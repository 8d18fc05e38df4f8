"""Timecode coming in: a port that hears it, and what the engine's loop makes of what is heard."""

from showcaller.engine.timecode_in.base import CodePort, Heard, Post
from showcaller.engine.timecode_in.feed import CodeFeed
from showcaller.engine.timecode_in.mtc import MtcPort
from showcaller.engine.timecode_in.opening import open_timecode_in

__all__ = ["CodeFeed", "CodePort", "Heard", "MtcPort", "Post", "open_timecode_in"]
