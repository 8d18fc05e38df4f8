"""A camera's newest frame: a thread of its own reads the device, so that nobody waits for a picture."""

import contextlib
import threading
import time
from pathlib import Path
from typing import Any

import av

from showcaller.outside.media import OPEN_AS
from showcaller.screen.compose.pool import Pixels

AGAIN_S = 2.0
"""A camera that was pulled out is looked for again after so long."""


class Camera:
    """Reads a device (``/dev/video0`` through V4L2), or a video file that stands for one."""

    def __init__(self, device: str, kind: str | None = None) -> None:
        self._device = device
        self._kind = kind if kind is not None else "v4l2" if device.startswith("/dev/") else None
        # A device is no file; everything else is held to the lists of what may be opened.
        self._options = {} if self._kind is not None else dict(OPEN_AS)
        self._newest: Pixels | None = None
        self.why = f"{device}: no picture yet"
        self.frames = 0
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._read, name=f"camera {device}", daemon=True)
        self._thread.start()

    def newest(self) -> Pixels | None:
        """The newest frame; None while there is none, and then ``why`` says why."""
        return self._newest

    def close(self) -> None:
        """Let go of the device."""
        self._over.set()
        self._thread.join(2.0)

    def _read(self) -> None:
        while not self._over.is_set():
            if self._device.startswith("/dev/") and not Path(self._device).exists():
                self.why = f"no camera at {self._device}"
            else:
                with contextlib.suppress(Exception):
                    self._read_on()
            self._newest = None
            self._over.wait(AGAIN_S)

    def _read_on(self) -> None:
        try:
            with av.open(self._device, format=self._kind, timeout=5.0, options=self._options) as container:
                for frame in container.decode(video=0):
                    made: Any = frame.to_ndarray(format="bgr24")
                    self._newest = made
                    self.frames += 1
                    if self._over.is_set():
                        return
                    if self._kind is None:  # a file plays at its own pace, a device at the camera's
                        time.sleep(1 / float(container.streams.video[0].average_rate or 25))
            self.why = f"{self._device}: the picture has ended"
        except (av.error.FFmpegError, OSError, IndexError) as error:
            self.why = f"{self._device}: {(getattr(error, 'strerror', None) or str(error)).lower()}"
            raise
