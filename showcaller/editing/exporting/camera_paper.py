"""A camera operator's paper: a table a song, bars, shot, lens, move; what is on the wall stands out."""

from collections.abc import Sequence
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, KeepTogether, Spacer, Table

from showcaller.editing.exporting.paper import ROOM, Head, make_pdf
from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph
from showcaller.values import Struct

SIZE = 11.0
"""Points: read at a camera by a small light."""
_SHARES = (0.12, 0.5, 0.14, 0.24)


class OperatorSong(Struct, frozen=True):
    """A song's name and its lines: (bars, shot, lens, move)."""

    name: str
    lines: tuple[tuple[str, str, str, str], ...]


def operator_pdf(title: str, edition: str, songs: Sequence[OperatorSong]) -> bytes:
    """The paper's bytes."""
    regular, bold = fonts()
    plain = ParagraphStyle("plain", fontName=regular, fontSize=SIZE, leading=SIZE * 1.3)
    strong = ParagraphStyle("strong", parent=plain, fontName=bold)
    parts: list[Flowable] = []
    for song in songs:
        rows = [
            [Paragraph(escape(cell), strong if line[1].startswith("ON THE WALL") else plain) for cell in line]
            for line in song.lines
        ]
        table = Table(rows, colWidths=[ROOM * share for share in _SHARES], hAlign="LEFT")
        table.setStyle([
            ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LINEBELOW", (0, 0), (-1, -1), 0.3, colors.grey),
            ("LEFTPADDING", (0, 0), (0, -1), 0), ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ])  # fmt: skip
        head = ParagraphStyle("head", parent=strong, fontSize=SIZE * 1.2, spaceBefore=10, spaceAfter=4)
        parts += [KeepTogether([Paragraph(escape(song.name), head), table]), Spacer(1, 6)]
    return make_pdf(Head(title, edition), parts)
