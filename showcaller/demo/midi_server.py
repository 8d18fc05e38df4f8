"""A MIDI system for the demo where the machine has none running: JACK with its dummy driver."""

import os
import shutil
import subprocess
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def midi_server() -> Iterator[str]:
    """A JACK server of our own while the block runs; yields a sentence, or '' where there is no JACK."""
    jackd, lsp = shutil.which("jackd"), shutil.which("jack_lsp")
    if jackd is None or lsp is None:
        yield ""
        return
    name = f"showcaller{uuid.uuid4().hex[:6]}"
    env = {**os.environ, "JACK_DEFAULT_SERVER": name, "JACK_NO_START_SERVER": "1"}
    args = [jackd, "-r", "-n", name, "-d", "dummy", "-r", "48000", "-p", "128"]
    process = subprocess.Popen(args, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        until = time.monotonic() + 5
        while time.monotonic() < until:
            if subprocess.run([lsp], env=env, capture_output=True, check=False).returncode == 0:
                break
            time.sleep(0.05)
        os.environ["JACK_DEFAULT_SERVER"] = name
        yield "MIDI goes through a JACK server with its dummy driver, started for this demo."
    finally:
        os.environ.pop("JACK_DEFAULT_SERVER", None)
        process.terminate()
        try:
            process.wait(2)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
