"""What every command shares: the application, the consoles, and what goes wrong as one sentence."""

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console

from showcaller.archive import TourError
from showcaller.calling.errors import HeadlessError
from showcaller.demo.errors import ReceiverError
from showcaller.engine.launch import LaunchError
from showcaller.engine.protocol import NoEngine
from showcaller.joining.errors import JoinError
from showcaller.model import DocumentError
from showcaller.outside import Refused
from showcaller.review.errors import ExportStopped, ReviewError
from showcaller.screen.errors import ClipError

if TYPE_CHECKING:
    from rich.progress import Progress

app = typer.Typer(
    help="Plan, rehearse, call, fire and review a live show. Start with: showcaller demo",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)


@app.callback()
def _showcaller() -> None:
    """A command is named also where only one is known."""


out = Console(soft_wrap=True, highlight=False)
err = Console(stderr=True, soft_wrap=True, highlight=False)

ShowPath = Annotated[Path, typer.Argument(help="the show document (.json)", show_default=False)]
TourOption = Annotated[
    str | None,
    typer.Option(
        "--tour",
        help="the tour: a file, or postgresql://name@host/tour; beside the show if not given",
        show_default=False,
    ),
]


WHAT_GOES_WRONG = (
    TourError, ReviewError, LaunchError, NoEngine, HeadlessError, ReceiverError, ExportStopped,
    ClipError, Refused, JoinError,
)  # fmt: skip


@contextmanager
def one_sentence() -> Iterator[None]:
    """What goes wrong is one clear sentence on standard error, and exit status 2."""
    try:
        yield
    except DocumentError as error:
        for problem in error.problems:
            err.print(problem)
        raise typer.Exit(2) from None
    except WHAT_GOES_WRONG as error:
        err.print(str(error))
        raise typer.Exit(2) from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        err.print(f"{error.filename or 'a file'}: {reason}; choose another folder")
        raise typer.Exit(2) from None


def progress() -> "Progress":
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn  # noqa: PLC0415

    return Progress(
        TextColumn("{task.description:<34.34}"), BarColumn(), TimeElapsedColumn(), console=err, transient=True
    )


@contextmanager
def watched() -> Iterator[tuple[Callable[[str, int, int], None], Callable[[], bool]]]:
    """A bar on standard error, and whether to stop: Ctrl+C stops at the next look, and nothing is left."""
    stop = threading.Event()
    main = threading.current_thread() is threading.main_thread()
    before = signal.signal(signal.SIGINT, lambda _number, _frame: stop.set()) if main else None
    try:
        with progress() as bar:
            task = bar.add_task("", total=1.0)

            def seen(what: str, done: int, of: int) -> None:
                bar.update(task, description=what, completed=done, total=max(1, of))

            yield seen, stop.is_set
    finally:
        if main:
            signal.signal(signal.SIGINT, before)
