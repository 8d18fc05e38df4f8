"""Where the wall's parts lie: to scale, inside the area, none over another, at every size."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from wall_show import wall_show

from showcaller.desk.areas.wall.layout import wall_layout

WALL = wall_show().wall


@given(
    width=st.integers(1024, 3840),
    height=st.integers(520, 2100),
    wide_m=st.floats(4, 120),
    high_m=st.floats(2, 30),
)
def test_the_wall_is_to_scale_and_no_part_covers_another(width, height, wide_m, high_m):
    k = max(0.6, min(width / 1920, height / 1080))
    wall = WALL.changed(width_m=wide_m, height_m=high_m)
    at = wall_layout(width, height, k, wall)
    if at.screen.height() > 40 and at.screen.width() > 40:
        assert at.screen.width() / at.screen.height() == pytest.approx(wide_m / high_m, rel=0.06)
    assert not at.graph.intersects(at.under_graph), "one would be painted with every frame of the other"
    assert not at.screen.intersects(at.foot)
    assert not at.foot.intersects(at.side.toRect())
    assert at.side.right() <= width
