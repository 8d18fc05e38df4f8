"""The band over the box: what stands first is read from a chair, what is too much is left to be looked up."""

from PySide6.QtGui import QImage, QPainter

from showcaller.desk.areas.call.centre import _as_many
from showcaller.desk.paint.paper import Paper


def kept(qapp, band, room):
    image = QImage(1280, 100, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    words = _as_many(Paper(painter, 1280, 100, 1.0), band, room)
    painter.end()
    return words


def test_parts_that_do_not_fit_are_left_out_whole(qapp):
    band = "VAMP: THE LIFT, PASS 1 · SHIFT+O: OUT AT ITS END · PAGE OPEN: PRESET · F11 · INCIDENT 18:32"
    assert kept(qapp, band, 5000) == band
    assert kept(qapp, band, 600) == "VAMP: THE LIFT, PASS 1 · SHIFT+O: OUT AT ITS END · …"
    assert kept(qapp, band, 10) == "VAMP: THE LIFT, PASS 1 · SHIFT+O: OUT AT ITS END"
    assert kept(qapp, "ONE", 10) == "ONE"
