"""A controller with pads, lights and faders, plugged into JACK; and a monitor that is known to hear."""

from devices import Dump, wait_until

_TRIED = (0x8F, 0x7F, 0x00)
"""What a monitor is tried with; nothing else in the tests sends it."""


class Pads:
    """A controller that is plugged in: an output whose pads are hit, an input whose lights are seen."""

    def __init__(self, name: str) -> None:
        import rtmidi

        self.lights: list[tuple[int, ...]] = []
        self._out = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=name)
        self._out.open_virtual_port("pads")
        self._in = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name=name)
        self._in.open_virtual_port("pads")

    def send(self, *message: int) -> None:
        self._out.send_message(list(message))

    def hit(self, note: int) -> None:
        self.send(0x90, note, 100)
        self.send(0x80, note, 0)

    def light(self, note: int) -> int | None:
        while (message := self._in.get_message()) is not None:
            self.lights.append(tuple(message[0]))
        return next((v for s, n, v in reversed(self.lights) if (s, n) == (0x90, note)), None)

    def unplug(self) -> None:
        for port in (self._out, self._in):
            port.close_port()
            port.delete()


class Heard:
    """What JACK's monitor has printed.

    Its port shows before it is awake; to a port whose owner sleeps JACK connects nothing, without a word.
    """

    def __init__(self, dump: Dump) -> None:
        self._dump = dump

    def hears(self, port: str) -> bool:
        """Whether what is sent to it now arrives."""
        import rtmidi

        out = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name="trying")
        try:
            found = [n for n, name in enumerate(out.get_ports()) if port in name]
            if not found:
                return False
            out.open_port(found[0])
            out.send_message(list(_TRIED))
            return wait_until(lambda: bool(self._dump.lines()), timeout_s=1)
        finally:
            out.close_port()
            out.delete()

    def lines(self) -> list[str]:
        tried = bytes(_TRIED).hex(" ")
        return [line for line in self._dump.lines() if tried not in line]
