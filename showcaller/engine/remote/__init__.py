"""Remote control: what a pedal or an OSC message asks for, past the same guard as the desk's own keys."""

from showcaller.engine.remote.feed import RemoteFeed

__all__ = ["RemoteFeed"]
