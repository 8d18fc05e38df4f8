"""Starting Qt and the desk."""

import showcaller.desk.without_qt  # noqa: F401 - before Qt: it says why

# isort: split
import os
import sys
from pathlib import Path

from platformdirs import user_config_path

from showcaller.archive.later import AnyTour
from showcaller.desk.keys import KEYS_FILE, Keys, KeysError, load_keys
from showcaller.desk.layout import keep_seat, kept_seat
from showcaller.desk.paint.colours import colour
from showcaller.desk.qt import QApplication, QFontDatabase, QIcon, QPalette
from showcaller.desk.screens import has_screen
from showcaller.desk.window import DeskWindow
from showcaller.editing.keeping import Keeper
from showcaller.resources import resource


def application() -> QApplication:
    """The Qt application, with the desk's typeface and a dark palette."""
    if not has_screen():
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    # A thread beside the window gives Python's lock back so soon when the window asks for it, in seconds: the
    # usual 5 ms, waited for at every step of a frame, make an edit stutter while calls are worked out.
    sys.setswitchinterval(0.0005)
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    app.setApplicationName("showcaller")
    app.setDesktopFileName("showcaller")
    app.setWindowIcon(QIcon(str(resource("desktop", "showcaller.svg"))))
    for path in sorted(resource("fonts").glob("*.otf")):
        QFontDatabase.addApplicationFont(str(path))
    palette = QPalette()
    palette.setColor(QPalette.ColorRole.Window, colour("ground"))
    palette.setColor(QPalette.ColorRole.WindowText, colour("text"))
    for role, tone in (
        (QPalette.ColorRole.Base, "panel"), (QPalette.ColorRole.AlternateBase, "raised"),
        (QPalette.ColorRole.Text, "text"), (QPalette.ColorRole.Button, "raised"),
        (QPalette.ColorRole.ButtonText, "text"), (QPalette.ColorRole.ToolTipBase, "raised"),
        (QPalette.ColorRole.ToolTipText, "text"), (QPalette.ColorRole.PlaceholderText, "quiet"),
        (QPalette.ColorRole.Highlight, "line"), (QPalette.ColorRole.HighlightedText, "strong"),
        (QPalette.ColorRole.Link, "accent"),
    ):  # fmt: skip
        palette.setColor(role, colour(tone))
    app.setStyle("Fusion")  # follows the palette everywhere: a file dialog is not a lamp in the dark
    app.setPalette(palette)
    return app


def user_keys() -> tuple[Keys, str | None]:
    """The user's keys, and a sentence if their file cannot be used."""
    try:
        return load_keys(user_config_path("showcaller") / KEYS_FILE), None
    except KeysError as error:
        return Keys(), str(error)


def run_desk(keeper: Keeper, tour: AnyTour, runs: Path, seat: str | None = None, guided: bool = False) -> int:
    """Open the desk on a document, at the seat that is named or was taken last; the exit status. ``guided``:
    the seat's guide is offered to who has not seen one."""
    app = application()
    keys, wrong = user_keys()
    settings = user_config_path("showcaller")
    if seat is not None:
        keep_seat(settings, seat)
    at = seat or kept_seat(settings)
    window = DeskWindow(keeper.show, tour, runs, keys, settings=settings, keeper=keeper, seat=at)
    window.host.trouble = wrong or window.host.trouble
    window.place()
    if guided:
        window.guide.offer(at)
    return app.exec()
