"""Whether there is a screen to open a window on. Asked before Qt is loaded, which would abort without one."""

import os
import sys


def has_screen() -> bool:
    """True where a window can be opened."""
    if sys.platform in ("win32", "darwin"):
        return True
    if os.environ.get("QT_QPA_PLATFORM") in ("offscreen", "minimal"):
        return False
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
