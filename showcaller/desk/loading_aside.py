"""Large libraries of machine code, brought into memory while the window goes on."""

import ctypes
import os
from collections.abc import Iterator
from importlib.machinery import EXTENSION_SUFFIXES
from importlib.util import find_spec
from pathlib import Path

_LARGE = (("cv2", "cv2"), ("av", "_core"))
"""Package → its module that hangs on the large ones: OpenCV, and FFmpeg's."""


def load_aside() -> None:
    """Bring the large ones into memory; importing them then takes a few milliseconds.

    An import asks the system to load a library with Python's lock held, for ten to forty milliseconds in
    which no frame is painted. The same call as a foreign function is made without the lock. Where that cannot
    be asked (Windows), or a library is not where it is looked for, the import does it as ever.
    """
    if os.name != "posix":
        return
    dlopen = ctypes.CDLL(None).dlopen  # POSIX, dlfcn.h
    dlopen.argtypes, dlopen.restype = [ctypes.c_char_p, ctypes.c_int], ctypes.c_void_p
    for path in _found():
        dlopen(os.fsencode(path), os.RTLD_LAZY | os.RTLD_LOCAL)


def _found() -> Iterator[Path]:
    for package, module in _LARGE:
        spec = find_spec(package)  # reads nothing of it yet
        for folder in (spec.submodule_search_locations or ()) if spec is not None else ():
            names = (Path(folder, module + suffix) for suffix in EXTENSION_SUFFIXES)
            yield from [path for path in names if path.is_file()][:1]
