"""Qt's binding keeps its count of None: a million calls that return nothing leave the interpreter alive.

PySide6 6.12.0 on Python 3.11 drops one reference to None at every such call, and the interpreter ends with
"deallocating None" some thousands of calls later. It runs in a process of its own, so that such an end is a
failure here and not the end of all tests.
"""

import json
import os
import subprocess
import sys

import pytest

CALLS = 1_000_000
IMMORTAL = sys.version_info >= (3, 12)
"""From Python 3.12 on None is immortal (PEP 683): its count is a fixed figure and nothing can free it, so
there the count must not move at all, and what is left to check is that the calls end well."""

CODE = """
import json, sys
from showcaller.desk.qt import QColor, QGuiApplication, QPainter, QPen, QPointF
from PySide6.QtGui import QImage
app = QGuiApplication([])
image = QImage(64, 64, QImage.Format.Format_RGB32)
image.fill(0)
painter = QPainter(image)
pen, point = QPen(QColor("#ff8800")), QPointF(3, 3)
before = sys.getrefcount(None)
calls = 0
while calls < int(sys.argv[1]):
    painter.setPen(pen)
    painter.drawPoint(point)
    painter.save()
    painter.restore()
    calls += 4
after = sys.getrefcount(None)
assert painter.setPen(pen) is None
painter.end()
print(json.dumps([before, after, image.pixelColor(3, 3).name()]))
"""


def test_a_million_calls_that_return_nothing_leave_the_count_of_none_as_it_was():
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    args = [sys.executable, "-c", CODE, str(CALLS)]
    done = subprocess.run(args, capture_output=True, text=True, env=env, check=False, timeout=60)
    assert done.returncode == 0, done.stderr
    before, after, drawn = json.loads(done.stdout)
    assert drawn == "#ff8800", "the calls did nothing"
    if IMMORTAL:
        assert after == before
    else:
        assert before > 1000
        assert after == pytest.approx(before, rel=0.01)
