"""A virtual X screen (Xvfb), the one way that tests and benchmarks bring one."""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def virtual_screen(program: str = "Xvfb", size: str = "1280x720") -> Iterator[str]:
    """A screen of its own for the block; yields its name as ``DISPLAY`` has it."""
    read, write = os.pipe()
    args = [program, "-displayfd", str(write), "-screen", "0", f"{size}x24", "-nolisten", "tcp", "-noreset"]
    server = subprocess.Popen(args, pass_fds=[write], stderr=subprocess.DEVNULL)
    os.close(write)
    try:
        with os.fdopen(read) as told:
            yield f":{told.readline().strip()}"
    finally:
        server.terminate()
        server.wait(5)
