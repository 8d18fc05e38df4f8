"""The bare loop an engine is measured against: ``python -m showcaller.readiness.bare PORT COUNT GAP_MS``.

It sleeps to within 1.5 ms of an instant, waits the rest out, and sends a datagram; nothing else.
"""

import socket
import sys
import time

_SPIN_NS = 1_500_000


def main(port: int, count: int, gap_ms: int) -> None:
    """Send ``/bare/n`` at every instant."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.connect(("127.0.0.1", port))
        start_ns = time.monotonic_ns() + 200_000_000
        for n in range(count):
            due_ns = start_ns + n * gap_ms * 1_000_000
            while (left_ns := due_ns - time.monotonic_ns()) > 0:
                if left_ns > _SPIN_NS:
                    time.sleep((left_ns - _SPIN_NS) / 1e9)
            sock.send(f"/bare/{n}".encode())


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:4]))
