"""The keys at the foot of the running order: drawn to fit, whatever key somebody has chosen."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.desk.areas.call.order import _COLUMNS, _key_rows
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QImage, QPainter

KEYS = st.sampled_from(["G", "Space", "Page Down", "Ctrl+Shift+A", "F12", "="])
WORDS = st.sampled_from(["go", "standby", "answer", "hold", "note", "who answered"])


@given(st.lists(st.tuples(KEYS, WORDS), min_size=1, max_size=10).map(tuple))
def test_no_key_lies_over_another_and_none_is_lost(qapp, keys):
    image = QImage(10, 10, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paper = Paper(painter, 408, 1080, 1.0)
    column = 372 / _COLUMNS
    rows = _key_rows(paper, keys, column)
    painter.end()
    assert [(key, word) for row in rows for _, key, word, _ in row] == list(keys)
    for row in rows:
        end = 0.0
        for at, key, word, box in row:
            assert at * column >= end, "over the one before"
            assert box >= paper.width_of(key, paper.size("tiny"), "semibold")
            end = at * column + box + 6 + paper.width_of(word, paper.size("tiny"))
        assert end <= _COLUMNS * column or len(row) == 1
