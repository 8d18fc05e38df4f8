"""Two engines and three desks, each machine in a network of its own, cut apart, killed, healed and taken over at
random; an account of every message beside the log. Root on Linux, with ``ip`` and /dev/net/tun.

``python benchmarks/second_machine.py [--sequences 300] [--seed 1]``; about seven seconds a sequence. A sequence
is five random acts (an engine killed, a plug pulled, a cut, a split, a healing, a taking over) with goes and
notes from desks on three machines between them; then the network is healed, one engine must be the only one, the
logs of all four machines equal, and every message accounted for. The network has 2 to 5 ms of delay, changes the
order of packets and loses one in a hundred.
"""

import argparse
import shutil
import signal
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "support"))

from cut_apart import CutApart
from results import keep
from wires import why_not

RUN = 60
"""Sequences in one run; then another begins."""


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sequences", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--traces", type=Path, help="where all that the machines kept is put after a fault")
    args = parser.parse_args()
    if why_not():
        print(why_not())
        return 2
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # so that the machines end with it
    account: dict[str, int] = {}
    took_s: dict[str, list[float]] = {}
    faults: list[str] = []
    done = 0
    began_s = time.monotonic()
    while done < args.sequences:
        with tempfile.TemporaryDirectory(dir="/tmp") as root:
            seed = args.seed + done
            apart = CutApart(root, seed, gos=1200, automatic=3000)
            try:
                for _ in range(min(RUN, args.sequences - done)):
                    apart.play()
                    done += 1
                    print(
                        done,
                        f"seed {seed}",
                        f"{time.monotonic() - began_s:.0f} s",
                        dict(apart.account),
                        apart.faults[-1:],
                        flush=True,
                    )
                    if apart.faults:
                        break
            finally:
                apart.close()
            if apart.faults and args.traces is not None:
                shutil.copytree(root, args.traces / str(seed), dirs_exist_ok=True)
            for name, count in apart.account.items():
                account[name] = account.get(name, 0) + count
            took_s.setdefault("a machine is heard after the healing", []).extend(apart.hears_again_s())
            for name, times in apart.took_s.items():
                took_s.setdefault(name, []).extend(times)
            faults += [f"seed {seed}: {fault}" for fault in apart.faults]
    found = {
        "by": "python benchmarks/second_machine.py",
        "sequences begun": done,
        **account,
        "faults": [fault[:600] for fault in faults] or "none",
        **{
            f"s, {name}": f"median {statistics.median(times):.2f}, at most {max(times):.2f} of {len(times)}"
            for name, times in took_s.items()
        },
    }
    for name, value in found.items():
        print(f"{name:34} {value}")
    keep("second_machine", found)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
