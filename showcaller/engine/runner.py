"""A run being carried out: inputs in, state stepped, journal written, messages out. Knows no transport."""

import threading
import time
from collections import deque
from collections.abc import Callable, Iterable, Mapping

from showcaller.engine.camera_tallies import CameraTallies
from showcaller.engine.clock import RunClock
from showcaller.engine.cue_lights import CueLights
from showcaller.engine.encode import EncodeError, encode
from showcaller.engine.journal import Journal, JournalError
from showcaller.engine.journal.memory import Selection
from showcaller.engine.outlets import OutboundBatch, OutletPort
from showcaller.engine.played_out import PlayedOut
from showcaller.engine.standing import Standing, cue_messages, look_messages
from showcaller.model import LookChange
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import CompiledShow
from showcaller.run.machine import step
from showcaller.run.outcome import Outcome
from showcaller.run.playing import look_of
from showcaller.run.runlog import RECORD_BEGINNING, record_bytes
from showcaller.screen.sending import messages_of
from showcaller.values import replace

Packets = Mapping[tuple[int, int], tuple[tuple[str, tuple[bytes, ...]], ...]]
"""(item, cue) → for each of its outlets, in the order of the messages, the bytes that leave."""


def encode_all(
    compiled: CompiledShow,
    ports: Mapping[str, OutletPort],
    before: CompiledShow | None = None,
    packets: Packets | None = None,
) -> Packets:
    """Every cue's messages as the bytes of its outlets.

    Those of items that were in the edition ``before`` are taken from its ``packets``.

    Raises:
        EncodeError: a message cannot be put into bytes.
    """
    rate = compiled.plan.show.timecode_rate
    table: dict[tuple[int, int], tuple[tuple[str, tuple[bytes, ...]], ...]] = {}
    same = {} if before is None else {id(item): i for i, item in enumerate(before.items)}
    for i, item in enumerate(compiled.items):
        if packets is not None and (was := same.get(id(item))) is not None:
            table.update({(i, k): packets[was, k] for k in range(len(item.ids))})
            continue
        for k in range(len(item.planned.cues)):
            by_outlet: dict[str, list[bytes]] = {}
            for message in cue_messages(compiled, i, k):
                body = ports[message.outlet].frame(encode(message, rate))
                by_outlet.setdefault(message.outlet, []).append(body)
            table[i, k] = tuple((outlet, tuple(bodies)) for outlet, bodies in by_outlet.items())
    return table


class Runner(Standing):
    """Carries out one run. All methods but ``report`` belong to one thread.

    ``publish`` gets the bytes of every record after its messages have left; ``wake`` is called from other
    threads when a report waits. ``unkept`` is why the journal could not be written, None while all is well.
    """

    def __init__(
        self,
        compiled: CompiledShow,
        clock: RunClock,
        journal: Journal,
        publish: Callable[[bytes], None],
        wake: Callable[[], None],
    ) -> None:
        super().__init__(compiled)
        self.clock = clock
        self.log = Selection(journal.memory, RECORD_BEGINNING)
        self.unkept: str | None = None
        self._journal = journal
        self._publish = publish
        self._wake = wake
        self._thread = threading.get_ident()
        self._reports: deque[ev.Event] = deque()
        self._ports: Mapping[str, OutletPort] = {}
        self._packets: Packets = {}
        self._ahead: tuple[CompiledShow | None, Packets] = (None, {})
        self._looks: dict[LookChange, tuple[tuple[str, tuple[bytes, ...]], ...]] = {}
        self._played = PlayedOut()
        self._lights = CueLights()
        self._tallies = CameraTallies()
        self._hand: dict[tuple[str, tuple[str, ...], int], tuple[c.PlayLayer, int, str]] = {}

    def use_outlets(self, ports: Mapping[str, OutletPort], packets: Packets) -> None:
        """The open outlets, and every cue's bytes.

        Raises:
            EncodeError: a message of a cue light cannot be put into bytes.
        """
        if ports is not self._ports:
            self._lights.use(self.compiled.plan.show, ports)
        self._tallies.use(self.compiled.plan.show)
        self._ports, self._packets = ports, packets
        self.outlets = {at: tuple(outlet for outlet, _ in sent) for at, sent in packets.items()}

    def go_on_from(self, standing: Standing) -> None:
        """Stand where a journal left the run."""
        self.state, self.next_ns = standing.state, standing.next_ns
        self.outstanding = standing.outstanding
        if self.state.phase != "ended":
            self._played.again(self.compiled.plan.show, self.state.on_wall, time.monotonic_ns())

    def report(self, event: ev.Event) -> None:
        """An outlet's word, from any thread."""
        self._reports.append(event)
        if threading.get_ident() != self._thread:
            self._wake()

    def take(self, given: c.Input, now_ns: int | None = None, by: str = "") -> Outcome:
        """One input, from the step to the messages' leaving. ``by`` is the desk (its id) that asked."""
        now_ns = self.clock.now_ns() if now_ns is None else now_ns
        state, out = step(self.compiled, self.state, given, now_ns)
        packets = self._packets
        if out.compiled is not None:
            try:
                packets = self.encode_ahead(out.compiled)
            except EncodeError as error:
                assert isinstance(given, c.ChangeTonight)
                return self.take(replace(given, cannot=str(error)), now_ns, by)
        if not out.events:
            self.state, self.next_ns = state, out.next_ns
            return out
        body = self._body(given, now_ns, out, by)
        self._keep(body)  # before anything leaves: what is journaled is never fired again
        self.state, self.next_ns = state, out.next_ns
        self.log.take_last()
        for letter, port in self._letters(out):
            port.send(letter)
        self._note_played(out)
        self._publish(body)
        self._lights.note(now_ns, out.events)
        self._tallies.note(out.events)
        self.count(out)
        if out.compiled is not None:
            self._go_on_with(out.compiled, packets)
        return out

    def encode_ahead(self, compiled: CompiledShow) -> Packets:
        """The packets of an edition that may come next, remembered. From any thread.

        Raises:
            EncodeError: a message cannot be put into bytes.
        """
        known, packets = self._ahead
        if known is not compiled:
            packets = encode_all(compiled, self._ports, self.compiled, self._packets)
            self._ahead = compiled, packets
        return packets

    def _go_on_with(self, compiled: CompiledShow, packets: Packets) -> None:
        self.compiled = compiled
        self.use_outlets(self._ports, packets)
        self._looks, self._ahead = {}, (None, {})  # a look may be another now

    def rehearse(self, given: c.Input, now_ns: int | None = None) -> None:
        """Go the way of an input up to the journal and no further.

        A go comes after seconds of quiet, in which other programs have pushed what it needs out of the
        processor's caches; gone through shortly before, it takes half as long. The step is pure, so nothing
        comes of it.
        """
        now_ns = self.clock.now_ns() if now_ns is None else now_ns
        _, out = step(self.compiled, self.state, given, now_ns)
        self._body(given, now_ns, out)
        self._letters(out)

    def awaited_go(self) -> str | None:
        """The id of the next go if somebody stands by for it; None otherwise."""
        place, items = self.state.place, self.compiled.items
        if self.state.phase != "running" or place.item >= len(items):
            return None
        item, marks = items[place.item], self.state.marks[place.item]
        stand_by = any(
            k in marks and marks[k].status in ("standby", "answered")
            for k in item.planned.goes[place.go].cues
        )
        return item.go_ids[place.go] if stand_by else None

    def _body(self, given: c.Input, now_ns: int, out: Outcome, by: str = "") -> bytes:
        """The record of an input, as it goes into the journal and to the desks."""
        wall_ns, seq = self.clock.wall_ns(now_ns), len(self.log) + 1
        return record_bytes(seq, now_ns, wall_ns, given, out.events, by)

    def _keep(self, body: bytes) -> None:
        """Into the journal. A full disk is told, and does not stop a show."""
        try:
            self._journal.append(body)
        except JournalError as error:
            self.unkept = str(error)
        except OSError as error:
            self.unkept = (error.strerror or str(error)).lower()

    def _letters(self, out: Outcome) -> list[tuple[OutboundBatch, OutletPort]]:
        """What an outcome sends, and where to."""
        letters = [
            (
                OutboundBatch(self.compiled.items[i].ids[k], self.clock.monotonic_of(due_ns), packets),
                self._ports[outlet],
            )
            for i, k, due_ns in out.sends
            for outlet, packets in self._packets.get((i, k), ())
            if not self.state.is_muted(outlet) and outlet in out.only.get((i, k), (outlet,))
        ]
        letters += [pair for change in out.shows for pair in self._look_letters(change)]
        return letters + (self._again_letters(out.again) if out.again is not None else [])

    def _again_letters(self, shown: ev.LookShown) -> list[tuple[OutboundBatch, OutletPort]]:
        """The planned look, as it had come, put back by a hand."""
        show, due_ns = self.compiled.plan.show, self.clock.monotonic_of(self.clock.now_ns())
        change = LookChange(look=shown.look, by=shown.by, beats=shown.beats)
        found = []
        for sent in messages_of(show, look_of(show, shown), change, shown.over_s):
            outlet = sent.message.outlet
            if not self.state.is_muted(outlet):
                port = self._ports[outlet]
                packet = port.frame(encode(sent.message))
                found.append((OutboundBatch(f"look {shown.look}", due_ns, (packet,)), port))
        return found

    def _look_letters(self, change: LookChange) -> Iterable[tuple[OutboundBatch, OutletPort]]:
        """A look put on by hand. Encoded when it is asked for the first time: no cue waits for it."""
        if change not in self._looks:
            by_outlet: dict[str, list[bytes]] = {}
            for message in look_messages(self.compiled, change, None):
                body = self._ports[message.outlet].frame(encode(message))
                by_outlet.setdefault(message.outlet, []).append(body)
            self._looks[change] = tuple((outlet, tuple(bodies)) for outlet, bodies in by_outlet.items())
        due_ns = self.clock.monotonic_of(self.clock.now_ns())
        return [
            (OutboundBatch(f"look {change.look}", due_ns, packets), self._ports[outlet])
            for outlet, packets in self._looks[change]
            if not self.state.is_muted(outlet)
        ]

    def _note_played(self, out: Outcome) -> None:
        """What a hand has played is told when there is room for it; what another look has ended is not."""
        on = self.state.on_wall
        self._played.over(on)
        if out.played is not None and on is not None:
            self._played.want(self.compiled.plan.show, on, *out.played, time.monotonic_ns())

    def play(self, given: c.PlayLayer, by: str = "") -> None:
        """Take this when there is room before the next instant (:meth:`play_on`); what comes of it is in the
        log. A newer value of the same fields takes the place of one that waits."""
        key = given.layer, tuple(given.fields), given.number
        since_ns = self._hand[key][1] if key in self._hand else time.monotonic_ns()
        self._hand[key] = given, since_ns, by

    @property
    def played_ns(self) -> int | None:
        """Since when, or from when on, something a hand has played, a cue light or a tally is to be done,
        monotonic; None if nothing is."""
        waiting = next(iter(self._hand.values()), None)
        hand_ns = self._played.due_ns if waiting is None else waiting[1]
        due = (hand_ns, self._lights.due_ns, self._tallies.due_ns)
        return min((ns for ns in due if ns is not None), default=None)

    def play_on(self) -> None:
        """Do one thing: tell the cue lights, or the tallies, else take into the log what a hand has played
        and has waited for longest, else tell that to the devices."""
        if self._lights.due_ns is not None and self._lights.due_ns <= time.monotonic_ns():
            for letter, port in self._lights.take(self.compiled, self.state, self.clock, self._ports):
                port.send(letter)
        elif self._tallies.due_ns is not None and self._tallies.due_ns <= time.monotonic_ns():
            for letter, port in self._tallies.take(self.compiled, self.state, self._ports):
                port.send(letter)
        elif self._hand:
            given, _, by = self._hand.pop(next(iter(self._hand)))
            self.take(given, by=by)
        else:
            self.tell_played()

    def tell_played(self) -> None:
        """Tell the devices what was played and has been due for longest. It is in the journal already, and
        nothing is reported of it: there would be hundreds of lines a minute."""
        show, on, now_ns = self.compiled.plan.show, self.state.on_wall, time.monotonic_ns()
        if on is None:
            return
        for sent in self._played.take(show, on, now_ns, lambda outlet: self._ports[outlet].is_free):
            outlet = sent.message.outlet
            if not self.state.is_muted(outlet):
                port = self._ports[outlet]
                port.send(OutboundBatch("", now_ns, (port.frame(encode(sent.message)),)))

    def take_reports(self) -> None:
        """Log what the outlets have said since the last time."""
        while self._reports:
            self.take(c.Report(self._reports.popleft()))

    def take_due(self) -> None:
        """Fire what is due by itself, if anything is."""
        if self.next_ns is not None and self.clock.now_ns() >= self.next_ns:
            self.take(c.Tick())
