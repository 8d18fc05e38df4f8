"""The departments' shapes: told apart without colour, the same in the ladder, the book and the record."""

from functools import lru_cache
from math import cos, pi, sin

from showcaller.desk.qt import QPainterPath, QPointF, QPolygonF, QRectF


@lru_cache
def shape_path(shape: str) -> QPainterPath:
    """The shape around (0, 0), within a circle of radius 1, all of about the same weight to the eye."""
    path = QPainterPath()
    if shape == "circle":
        path.addEllipse(QPointF(0, 0), 0.88, 0.88)
    elif shape == "square":
        path.addRect(QRectF(-0.78, -0.78, 1.56, 1.56))
    elif shape == "bar":
        path.addRect(QRectF(-1.0, -0.46, 2.0, 0.92))
    elif shape == "cross":
        a, b = 0.95, 0.34
        corners = [(-b, -a), (b, -a), (b, -b), (a, -b), (a, b), (b, b), (b, a), (-b, a), (-b, b), (-a, b), (-a, -b), (-b, -b)]  # fmt: skip  # noqa: E501
        path.addPolygon(QPolygonF([QPointF(x, y) for x, y in corners]))
        path.closeSubpath()
    else:
        sides, turn, radius = {
            "diamond": (4, 0.0, 1.05),
            "triangle": (3, 0.0, 1.1),
            "hexagon": (6, pi / 6, 0.98),
            "pentagon": (5, 0.0, 1.02),
        }[shape]
        lift = 0.2 if shape == "triangle" else 0.0
        points = [
            QPointF(radius * sin(turn + 2 * pi * k / sides), lift - radius * cos(turn + 2 * pi * k / sides))
            for k in range(sides)
        ]
        path.addPolygon(QPolygonF(points))
        path.closeSubpath()
    return path
