"""The handbook in a window of its own, at the page for what is on screen."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from showcaller.calling.caller_view import CallView
from showcaller.desk.handbook_pages import HandbookPart, contents
from showcaller.desk.handbook_text import HandbookText, typeset
from showcaller.desk.keys import Keys
from showcaller.desk.nowbar import NowBar
from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import font
from showcaller.desk.qt import (
    QKeyEvent,
    QKeySequence,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QRect,
    QShortcut,
    QSize,
    QSplitter,
    Qt,
    QTextCursor,
    QTextDocument,
    QUrl,
    QVBoxLayout,
    QWidget,
    Signal,
)
from showcaller.resources import resource

_PLACE = int(Qt.ItemDataRole.UserRole)
_ROW_PX, _NOW_BAR_PX = 26, 48


class Handbook(QWidget):
    """Contents at the left, the page at the right, a field that finds a word on any page.

    Out of a show it is a window of its own. In one it lies in the desk, under the box, so that nothing that
    is called or asked is ever behind it. Keys that are not its own are handed on to the desk, and keys of the
    show are never its own; ``of_show`` says which are.
    """

    pressed = Signal(object)
    released = Signal(object)

    def __init__(self, keys: Keys, of_show: Callable[[QKeyEvent], bool]) -> None:
        super().__init__()
        self.setWindowTitle("Handbook – showcaller")
        self.resize(1080, 760)
        self.setAutoFillBackground(True)
        self.pages, self.search, self.text = QListWidget(), QLineEdit(), HandbookText(of_show)
        self.now_bar = NowBar(keys)
        self.now_bar.setFixedHeight(_NOW_BAR_PX)
        self.now_bar.hide()
        self.pages.setAccessibleName("Pages of the handbook")
        self.pages.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # a letter would choose a page there, and no go
        self.search.setPlaceholderText("Find a word in the handbook; Enter goes on to the next")
        self.search.setAccessibleName("Find in the handbook")
        self.text.setAccessibleName("Page of the handbook")
        self.text.setOpenLinks(False)
        self.text.setFont(font(15))
        self.search.setFont(font(14))
        self.pages.setFont(font(14))
        self._lay_out()
        self.pages.currentItemChanged.connect(self._chosen)
        self.text.anchorClicked.connect(self._follow)
        self.search.returnPressed.connect(self._find)
        QShortcut(QKeySequence.StandardKey.PreviousChild, self, partial(self._turn, -1))
        QShortcut(QKeySequence.StandardKey.NextChild, self, partial(self._turn, 1))
        QShortcut(QKeySequence.StandardKey.Find, self, self.search.setFocus)
        QShortcut(QKeySequence.StandardKey.Back, self, self.text.backward)

    def _lay_out(self) -> None:
        for entry in contents():
            item = QListWidgetItem(entry.words)
            item.setSizeHint(QSize(0, _ROW_PX))
            if isinstance(entry, HandbookPart):
                item.setFlags(Qt.ItemFlag.NoItemFlags)
                item.setFont(font(12, "semibold", spaced=True))
                item.setForeground(colour("quiet"))
                item.setTextAlignment(Qt.AlignmentFlag.AlignBottom)
            else:
                item.setData(_PLACE, entry.page)
            self.pages.addItem(item)
        split = QSplitter()
        split.addWidget(self.pages)
        split.addWidget(self.text)
        split.setSizes([280, 800])
        split.setStretchFactor(1, 1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(10, 10, 10, 0)
        whole.setSpacing(6)
        whole.addWidget(self.search)
        whole.addWidget(split, 1)
        whole.addWidget(self.now_bar)

    def open_at(self, page: str) -> None:
        """Show a page, by its name without the ending: ``caller/night``."""
        self._go(resource("handbook", f"{page}.md"))
        self.show()
        self.raise_()
        self.activateWindow()
        self.text.setFocus()

    def show_line(self, view: CallView, since_s: float, asked: tuple[str, str] | None, on: bool) -> None:
        """The line to call now, while a show is ``on``: the window may lie over the box."""
        alone = on and self.parentWidget() is None
        self.now_bar.setVisible(alone)
        if alone:
            self.now_bar.show_view(view, since_s, asked)

    def lie_in(self, body: QWidget | None, place: QRect) -> None:
        """Lie in the desk, at this place of its body; or, with none, be a window of its own again."""
        if self.parentWidget() is not body:
            was_shown = self.isVisible()
            self.setParent(body)
            self.setVisible(was_shown and body is not None)
            self.now_bar.hide()  # in the desk the box, or the bar at its own foot, is in sight
            self.setGeometry(place)
        elif body is not None and self.geometry() != place:
            self.setGeometry(place)

    @property
    def lies_in_desk(self) -> bool:
        """Whether it is a part of the desk's window, and shown."""
        return self.parentWidget() is not None and self.isVisible()

    @property
    def is_typed_in(self) -> bool:
        """Whether letters are typed into its field."""
        return self.isVisible() and self.search.hasFocus()

    @property
    def page(self) -> str:
        """The page that is shown, by its name."""
        here = Path(self.text.source().toLocalFile())
        return here.relative_to(resource("handbook").resolve()).with_suffix("").as_posix()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape closes; what is a key of the show acts in the desk."""
        if event.key() == Qt.Key.Key_Escape and self.parentWidget() is None:
            self.close()
        else:
            self.pressed.emit(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """As for a press."""
        self.released.emit(event)

    def _chosen(self, item: QListWidgetItem | None) -> None:
        page = None if item is None else item.data(_PLACE)
        if page is not None:
            self._go(resource("handbook", f"{page}.md"))

    def _follow(self, link: QUrl) -> None:
        target = self.text.source().resolved(link)
        if target.isLocalFile() and Path(target.toLocalFile()).suffix == ".md":
            self._go(Path(target.toLocalFile()))

    def _go(self, path: Path) -> None:
        self.text.setSource(
            QUrl.fromLocalFile(str(path.resolve())), QTextDocument.ResourceType.MarkdownResource
        )
        typeset(self.text.document())
        self.pages.blockSignals(True)
        for n in range(self.pages.count()):
            if self.pages.item(n).data(_PLACE) == self.page:
                self.pages.setCurrentRow(n)
        self.pages.blockSignals(False)

    def _turn(self, by: int) -> None:
        order = _order()
        at = order.index(self.page) if self.page in order else 0
        self._go(resource("handbook", f"{order[(at + by) % len(order)]}.md"))

    def _find(self) -> None:
        """The next place with the words, on this page or on one after it."""
        words = self.search.text().strip()
        if not words or self.text.find(words):
            return
        order = _order()
        at = order.index(self.page) if self.page in order else -1
        for page in (*order[at + 1 :], *order[: at + 1]):
            path = resource("handbook", f"{page}.md")
            if words.lower() in path.read_text(encoding="utf-8").lower():
                self._go(path)
                self.text.moveCursor(QTextCursor.MoveOperation.Start)
                if self.text.find(words):
                    return
        self.search.selectAll()


def _order() -> list[str]:
    return [entry.page for entry in contents() if not isinstance(entry, HandbookPart)]
