"""What our papers have in common: A4, the desk's typeface, a head with the edition, a foot with the page."""

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Table

from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import width, write
from showcaller.values import Struct

MARGIN = 16 * mm
HEAD = 14 * mm
ROOM = A4[0] - 2 * MARGIN
"""Width for text, points."""
TALL = A4[1] - 2 * MARGIN - HEAD
"""Height for text on a page, points."""


class Head(Struct, frozen=True):
    """What stands over every page: the paper's name on the left, the edition on the right."""

    title: str
    edition: str


class _Numbered(Canvas):
    """Knows how many pages there are when the last is done, so that each can say '3 of 12'."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._pages: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 - the library's name
        self._pages.append(dict(self.__dict__))
        self._startPage()  # type: ignore[attr-defined]

    def save(self) -> None:
        for n, page in enumerate(self._pages):
            self.__dict__.update(page)
            self.setFont(fonts()[0], 9)
            self.drawRightString(A4[0] - MARGIN, MARGIN * 0.6, f"page {n + 1} of {len(self._pages)}")
            super().showPage()
        super().save()


def make_pdf(head: Head, parts: Sequence[Flowable]) -> bytes:
    """The paper's bytes."""
    regular, bold = fonts()

    def draw_head(canvas: Canvas, _: object) -> None:
        top = A4[1] - MARGIN
        write(canvas, MARGIN, top, head.title, bold, 11)
        if width(head.title, bold, 11) + width(head.edition, regular, 9) + 12 <= ROOM:
            write(canvas, A4[0] - MARGIN, top, head.edition, regular, 9, from_right=True)
        else:  # a line of its own, under the rule
            write(canvas, MARGIN, top - 16, head.edition, regular, 9)
        canvas.setLineWidth(0.5)
        canvas.line(MARGIN, top - 5, A4[0] - MARGIN, top - 5)

    out = BytesIO()
    frame = Frame(MARGIN, MARGIN, ROOM, TALL, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    document = BaseDocTemplate(out, pagesize=A4, title=head.title, author="showcaller", subject=head.edition)
    document.addPageTemplates([PageTemplate(frames=[frame], onPage=draw_head)])
    document.build(list(parts), canvasmaker=_Numbered)
    return out.getvalue()


def tick_box(size: float) -> Table:
    """A box to tick with a pencil, for type of this size."""
    box = Table([[""]], colWidths=[size * 0.9], rowHeights=[size * 0.9], hAlign="LEFT")
    box.setStyle([("BOX", (0, 0), (-1, -1), 0.8, colors.black)])
    return box
