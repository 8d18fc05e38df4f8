"""What is looked at for a look that stood already when the part that was asked about began: that part's first
moment, so that what is put instead lands there."""

from showcaller.desk.areas.drift.stood import _in_part

S = 1_000_000_000


def test_what_stood_before_is_looked_at_from_the_part_on_and_what_came_in_it_where_it_came():
    chorus = ((60 * S, 80 * S), (200 * S, 210 * S))
    assert 60 * S < _in_part(30 * S, chorus) < 60 * S + S // 100
    assert _in_part(70 * S, chorus) == 70 * S
    assert 200 * S < _in_part(80 * S, chorus) < 201 * S  # it stands in the second stretch only
    assert _in_part(500 * S, chorus) == 500 * S
