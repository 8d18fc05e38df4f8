"""Machines in networks of their own, cut apart and healed at random; 300 sequences are a benchmark."""

import os

import pytest
from wires import why_not


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
    finally:
        apart.close()
