"""A controller with pads, lights and faders, plugged into JACK."""


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
