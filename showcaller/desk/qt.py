"""The one door to Qt: everything the desk uses of it, by name.

PySide6 is held to 6.11: its 6.12.0 drops a reference to None at every void call on Python 3.11 and in time
aborts the interpreter. ``tests/desk/test_qt_is_sound.py`` counts it.
"""

from PySide6.QtCore import (
    QByteArray,
    QElapsedTimer,
    QEvent,
    QObject,
    QPointF,
    QRectF,
    QSize,
    Qt,
    QTimer,
    Signal,
    Slot,
)
from PySide6.QtGui import (
    QAccessible,
    QCloseEvent,
    QColor,
    QFont,
    QFontDatabase,
    QFontMetricsF,
    QGuiApplication,
    QIcon,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPainterPath,
    QPalette,
    QPen,
    QPixmap,
    QPolygonF,
    QUndoCommand,
    QUndoStack,
)
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QMainWindow,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

__all__ = [
    "QAccessible", "QApplication", "QByteArray", "QCloseEvent", "QColor", "QElapsedTimer", "QEvent", "QFont",
    "QFontDatabase", "QFontMetricsF", "QGuiApplication", "QHBoxLayout", "QIcon", "QKeyEvent", "QKeySequence",
    "QLabel", "QLineEdit", "QListWidget", "QMainWindow", "QObject", "QPainter", "QPainterPath", "QPalette",
    "QPen", "QPixmap", "QPointF", "QPolygonF", "QRectF", "QSize", "QSizePolicy", "QStackedWidget", "QTimer",
    "QUndoCommand", "QUndoStack", "QVBoxLayout", "QWidget", "Qt", "Signal", "Slot",
]  # fmt: skip
