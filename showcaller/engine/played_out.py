"""What a hand plays on the wall, to the devices: as often as they can follow, and the last value always.

A hand moves a layer sixty times a second; a device is told ``A_SECOND`` times at most, for each layer by each
template of messages. What is not told at once is remembered by its name alone, and told with the value it has
by then, so that the last one is never lost. Nothing here is done on the way of a cue: the loop asks for it
when there is room before the next instant (:meth:`PlayedOut.due_ns`).
"""

from collections.abc import Callable, Iterable

from showcaller.model import LookChange, Show
from showcaller.run.playing import look_now
from showcaller.run.state import OnWall
from showcaller.screen.looks import layer_keys
from showcaller.screen.played import PLAYABLE
from showcaller.screen.sending import Only, Sent, Target, gone, messages_of, sends_of, targets_of
from showcaller.screen.surfaces import split_key

A_SECOND = 25
"""Messages a second for one layer by one template to one input: what a wall processor follows without a
queue of its own (our choice, no source)."""

_GAP_NS = 1_000_000_000 // A_SECOND + 500_000
"""A little more, so that however the messages get on their way none comes twice as soon."""


class PlayedOut:
    """Which layers are to be told, by which template, since when. ``now_ns`` is the machine's monotonic
    clock; a look is known by its number."""

    def __init__(self) -> None:
        self._number = 0
        self._due: dict[Only, int] = {}
        self._told_ns: dict[Only, int] = {}
        self._covered: dict[Only, frozenset[Target]] = {}

    def want(self, show: Show, on: OnWall, layer: str, fields: Iterable[str], now_ns: int) -> None:
        """A layer's fields are others now."""
        self._of(on)
        keys, name = layer_keys(look_now(show, on)), split_key(layer)[0]
        if name not in keys:
            return
        for send in sends_of(show, fields):
            only = send, keys.index(name) + 1
            self._due.setdefault(only, max(now_ns, self._told_ns.get(only, -_GAP_NS) + _GAP_NS))

    def again(self, show: Show, on: OnWall | None, now_ns: int) -> None:
        """The engine is back: whatever was played is told once more, since nobody knows what of it left. A
        value told twice does nothing."""
        if on is None or show.wall is None:
            return
        for layer in on.played:
            self.want(show, on, layer, PLAYABLE, now_ns)
        inputs = frozenset((s.id, i.id) for s in show.surfaces for i in s.inputs)
        whole = {send.id for send in show.sends if send.per == "layer"}
        self._covered = {only: inputs for only in self._due if only[0] not in whole}

    def over(self, on: OnWall | None) -> None:
        """Another look may have come: what was played of the one before is not told any more."""
        if on is not None:
            self._of(on)

    def _of(self, on: OnWall) -> None:
        if on.number != self._number:
            self._number = on.number
            self._due.clear()
            self._told_ns.clear()
            self._covered.clear()

    @property
    def due_ns(self) -> int | None:
        """When something is to be told next; None if nothing is."""
        return min(self._due.values(), default=None)

    def take(
        self, show: Show, on: OnWall, now_ns: int, is_free: Callable[[str], bool] = lambda _outlet: True
    ) -> tuple[Sent, ...]:
        """What has been due for longest, with the values as they are now: one layer by one template, so that
        it takes no longer than a request.

        What goes to an outlet that is not free waits: a cue must never stand behind what a hand has played.
        """
        due_ns, only = min(((due_ns, only) for only, due_ns in self._due.items()), default=(0, None))
        if only is None or due_ns > now_ns:
            return ()
        outlet = next(s.outlet for s in show.sends if s.id == only[0])
        if not is_free(outlet):
            self._due[only] = now_ns + _GAP_NS
            return ()
        del self._due[only]
        self._told_ns[only] = now_ns
        return tuple(self._told(show, on, only))

    def _told(self, show: Show, on: OnWall, only: Only) -> Iterable[Sent]:
        look = look_now(show, on)
        key = layer_keys(look)[only[1] - 1]
        change = LookChange(look=look.id)
        made: tuple[Sent, ...] = ()
        if not on.played.get(key, {}).get("hidden"):
            made = messages_of(show, look, change, only=only)
        covers = frozenset(sent.target for sent in made)
        left = sorted(self._before(show, on, only) - covers)
        self._covered[only] = covers
        return (*gone(show, look, change, only, left), *made)

    def _before(self, show: Show, on: OnWall, only: Only) -> frozenset[Target]:
        """What was told of the layer: at first where it came on."""
        if only in self._covered or show.wall is None:
            return self._covered.get(only, frozenset())
        send = next(s for s in show.sends if s.id == only[0])
        layer = look_now(show, OnWall(on.number, on.shown, None)).layers[only[1] - 1]
        return targets_of(show, layer, send)
