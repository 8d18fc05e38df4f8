"""Machines in networks of their own, cut apart and healed at random; 300 sequences are a benchmark."""

import os

import pytest
from wires import why_not

from showcaller.run import events as ev


@pytest.mark.system
def test_cut_apart_at_random_nothing_is_lost_or_unnamed_and_never_do_two_fire_that_hear_each_other(tmp_path):
    if why_not():
        assert not os.environ.get("CI") or os.geteuid() != 0, why_not()
        pytest.skip(why_not())
    from cut_apart import CutApart

    apart = CutApart(tmp_path, seed=7, gos=60, automatic=200)
    try:
        apart.split()
        apart.go("side")
        apart.take_over("back")
        apart.note("front")
        apart.go("back")
        apart.settle()
        assert apart.faults == []
        assert apart.account["sequences"] == 1
        assert apart.boxes["back"].fires, "the higher term counts"
        # Again, or for the first time where the cut came before the first beacon.
        heard_s = [s for name, s, words in apart.noted() if name == "front" and "is heard " in words][-1]
        with apart.boxes["back"].client() as client:
            clock, log = client.clock(), client.log()
        told_ns = next(r.t_ns for r in log for e in r.events if isinstance(e, ev.ApartHeard))
        late_s = clock.monotonic_of(told_ns) / 1e9 - heard_s
        assert late_s < 1.0, "what the first did alone is known before somebody gives the same go"
    finally:
        apart.close()
