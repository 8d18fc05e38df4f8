"""MIDI Time Code: quarter frames forwards and backwards, full frames; encoding and an incremental decoder.

A *quarter* counts quarter frames from 00:00:00:00. Each quarter-frame message holds one of eight pieces of
the label of the frame at which its sequence of eight began; the sequence spans two frames. Piece n passes at
``4 × that frame + n`` quarters whichever way the code runs, so once eight pieces are in, the position is
known to the quarter: running forwards, at piece 7, a frame and three quarters after the label (which is why
receivers that only know labels add two frames); backwards, at piece 0, the label itself.

Source: MIDI Time Code, detailed specification (MMA, 1987).
"""

from showcaller.timing.timecode import frame_number, label, rate_named
from showcaller.values import Struct, replace

_CODES = {"23.976": 0, "24": 0, "25": 1, "29.97 drop": 2, "29.97": 3, "30": 3}
_NAMES = {0: "24", 1: "25", 2: "30 drop", 3: "30"}


def rate_code(rate: str) -> int:
    """The two bits that name the rate: 0 for 24, 1 for 25, 2 for 30 drop, 3 for 30 frames a second.

    Raises:
        ValueError: MIDI Time Code has no such rate.
    """
    if rate not in _CODES:
        rate_named(rate)
        raise ValueError(f"MIDI Time Code has no rate {rate}; use one of {', '.join(_CODES)}")
    return _CODES[rate]


def quarter_frame(quarter: int, rate: str) -> bytes:
    """The message ``F1 0nnndddd`` that passes at ``quarter``; sequences begin on even frames."""
    code = rate_code(rate)
    sequence, piece = divmod(quarter, 8)
    hours, minutes, seconds, frames = _parts(label(2 * sequence, rate))
    value = (frames, seconds, minutes, hours | code << 5)[piece // 2]
    return bytes([0xF1, piece << 4 | (value >> 4 if piece % 2 else value & 15)])


def full_frame(frame: int, rate: str, device: int = 0x7F) -> bytes:
    """The ten bytes that locate to ``frame``: ``F0 7F device 01 01 hr mn sc fr F7``; 7F calls all devices."""
    hours, minutes, seconds, frames = _parts(label(frame, rate))
    return bytes([0xF0, 0x7F, device, 1, 1, hours | rate_code(rate) << 5, minutes, seconds, frames, 0xF7])


class MtcPosition(Struct, frozen=True):
    """Where the code is: ``quarter`` frames from midnight, running ``forward`` or back; None when located."""

    quarter: int
    forward: bool | None


class MtcRefused(Struct, frozen=True):
    """A message that gives no position, and why in one sentence."""

    sentence: str


class MtcState(Struct, frozen=True):
    """What the decoder remembers.

    ``pieces`` are the last values of the eight pieces, ``run`` how many have come in order, ``step`` +1 or −1
    as they go up or down, ``quarter`` the position once known.
    """

    rate: str
    pieces: tuple[int, ...] = (0,) * 8
    last: int | None = None
    step: int = 0
    run: int = 0
    quarter: int | None = None


def step(state: MtcState, message: bytes) -> tuple[MtcState, tuple[MtcPosition | MtcRefused, ...]]:
    """Take one whole MIDI message; other messages than time code change nothing."""
    if len(message) == 2 and message[0] == 0xF1:
        return _quarter_frame(state, message[1])
    if len(message) == 10 and message[:2] == b"\xf0\x7f" and message[3:5] == b"\x01\x01":
        hours = message[5]
        found = _frame(state, hours & 31, message[6], message[7], message[8], hours >> 5 & 3)
        cleared = MtcState(state.rate)
        if isinstance(found, MtcRefused):
            return cleared, (found,)
        return cleared, (MtcPosition(4 * found, None),)
    return state, ()


def _quarter_frame(state: MtcState, data: int) -> tuple[MtcState, tuple[MtcPosition | MtcRefused, ...]]:
    piece, value = data >> 4 & 7, data & 15
    pieces = (*state.pieces[:piece], value, *state.pieces[piece + 1 :])
    went = None if state.last is None else (piece - state.last) % 8
    way = {1: 1, 7: -1}.get(went or 0, 0)
    if way == 0 or (state.step and way != state.step):
        # A piece was lost, or the code turned round: begin again with this one.
        return replace(state, pieces=pieces, last=piece, step=way, run=2 if way else 1, quarter=None), ()
    state = replace(state, pieces=pieces, last=piece, step=way, run=min(state.run + 1, 8))
    if state.quarter is not None:
        # The position goes on by the count, as long as every piece says what it should there.
        quarter = state.quarter + way
        if quarter_frame(quarter, state.rate)[1] == data:
            return _moved(state, quarter)
        return replace(state, run=1, quarter=None), ()
    end = 7 if way > 0 else 0
    if piece != end or state.run < 8:
        return state, ()
    values = [pieces[2 * n] | pieces[2 * n + 1] << 4 for n in range(4)]
    found = _frame(state, values[3] & 31, values[2], values[1], values[0], values[3] >> 5 & 3)
    if isinstance(found, MtcRefused):
        return replace(state, run=0), (found,)
    return _moved(state, 4 * found + end)


def _moved(state: MtcState, quarter: int) -> tuple[MtcState, tuple[MtcPosition, ...]]:
    at = quarter % (4 * rate_named(state.rate).frames_per_day)
    return replace(state, quarter=at), (MtcPosition(at, state.step > 0),)


def _frame(
    state: MtcState, hours: int, minutes: int, seconds: int, frames: int, code: int
) -> int | MtcRefused:
    if code != rate_code(state.rate):
        return MtcRefused(
            f"the time code coming in is at {_NAMES[code]} frames a second, the show at {state.rate}; "
            "change one of them"
        )
    try:
        return frame_number(f"{hours:02}:{minutes:02}:{seconds:02}:{frames:02}", state.rate)
    except ValueError as error:
        return MtcRefused(str(error))


def _parts(text: str) -> tuple[int, int, int, int]:
    hours, minutes, seconds, frames = text.replace(";", ":").split(":")
    return int(hours), int(minutes), int(seconds), int(frames)
