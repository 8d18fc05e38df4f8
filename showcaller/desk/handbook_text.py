"""How a page of the handbook is set: air around headings, keys as caps, thin lines, pictures that fit."""

from collections.abc import Callable

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import font
from showcaller.desk.qt import (
    QBrush,
    QKeyEvent,
    QResizeEvent,
    QTextBlock,
    QTextBrowser,
    QTextCharFormat,
    QTextCursor,
    QTextDocument,
    QTextFormat,
    QTextFrame,
    QTextTable,
)

_MARGIN_PX = 28
_LINE_PX = 900
"""A line of text is no longer than this: longer ones are lost on the way back to the left."""
_PICTURE_PX = 690
"""Wide; pictures of the desk are 16 to 9."""
_ABOVE_PX = {1: 4, 2: 24, 3: 16}
"""Above a heading of a level."""
_SIZE_PX = {1: 26, 2: 19, 3: 16}


class HandbookText(QTextBrowser):
    """A page as it is read. ``of_show`` says which keys are the show's: what scrolls a page may be one of
    them, Space, or a pedal that is a Page Down."""

    def __init__(self, of_show: Callable[[QKeyEvent], bool]) -> None:
        super().__init__()
        self._of_show = of_show
        self.setLineWrapMode(QTextBrowser.LineWrapMode.FixedPixelWidth)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self._of_show(event):
            event.ignore()  # and so it goes on to whoever holds the page
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.setLineWrapColumnOrWidth(min(_LINE_PX, self.viewport().width()))


def typeset(document: QTextDocument) -> None:
    """Set a page that was read from Markdown."""
    document.setDocumentMargin(_MARGIN_PX)
    block = document.begin()
    while block.isValid():
        _set_block(block)
        block = block.next()
    for table in _tables(document.rootFrame()):
        shape = table.format().toTableFormat()
        shape.setCellPadding(6)
        shape.setBorderBrush(QBrush(colour("line")))
        shape.setTopMargin(6)
        shape.setBottomMargin(10)
        table.setFormat(shape)


def _set_block(block: QTextBlock) -> None:
    cursor = QTextCursor(block)
    shape, level = block.blockFormat(), block.blockFormat().headingLevel()
    shape.setTopMargin(_ABOVE_PX.get(level, 0 if block.textList() or cursor.currentTable() else 3))
    shape.setBottomMargin(6 if level else 0 if cursor.currentTable() else 5)
    shape.setLineHeight(135 if not level else 110, 1)
    if shape.hasProperty(int(QTextFormat.Property.BlockCodeFence)):
        shape.setNonBreakableLines(False)  # a long line goes on below
        shape.setBackground(colour("raised"))
        shape.setLeftMargin(14)
        shape.setTopMargin(0)
        shape.setBottomMargin(0)
    cursor.setBlockFormat(shape)
    if level:
        cursor.movePosition(QTextCursor.MoveOperation.EndOfBlock, QTextCursor.MoveMode.KeepAnchor)
        head = QTextCharFormat()
        head.setFont(font(_SIZE_PX.get(level, 15), "bold"))
        head.setForeground(colour("strong"))
        cursor.setCharFormat(head)
        return
    places = []
    at = block.begin()
    while not at.atEnd():
        places.append(at.fragment())
        at += 1
    for fragment in places:
        form = fragment.charFormat()
        chosen = QTextCursor(block)
        chosen.setPosition(fragment.position())
        chosen.setPosition(fragment.position() + fragment.length(), QTextCursor.MoveMode.KeepAnchor)
        if form.isImageFormat():
            picture = form.toImageFormat()
            picture.setWidth(_PICTURE_PX)
            picture.setHeight(_PICTURE_PX * 9 / 16)
            chosen.setCharFormat(picture)
            shape.setLineHeight(100, 1)  # of a picture a third more is a hole in the page
            cursor.setBlockFormat(shape)
        elif form.fontFixedPitch():
            form.setFont(font(14, "semibold"))
            form.setForeground(colour("strong"))
            form.setBackground(colour("raised"))
            chosen.setCharFormat(form)


def _tables(frame: QTextFrame) -> list[QTextTable]:
    return [child for child in frame.childFrames() if isinstance(child, QTextTable)]
