"""Sources' files: chosen in a dialog, found while a name is typed, read in a process of its own."""

import contextlib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from platformdirs import user_config_path

from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.background import Background
from showcaller.desk.qt import QFileDialog, Qt, QWidget
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.editing.loudness import loudness_of
from showcaller.editing.reading_media import has_file, read_file, reading_change
from showcaller.model import Show
from showcaller.model.media import FileFacts
from showcaller.outside import Refused
from showcaller.outside.media import allowed_folders
from showcaller.screen.camera_sheets import write_camera_sheets
from showcaller.screen.testcards import meant_on
from showcaller.screen.testfiles import write_test_files

SUFFIXES = ".mp4 .mov .mkv .webm .avi .mxf .ts .png .jpg .jpeg"
_MOST_FILES = 400


def as_loud(file: FileFacts, before: FileFacts | None) -> FileFacts:
    """What was read, with the loudness that was measured of the very same file before."""
    if before is None or before.mark != file.mark:
        return file
    return file.changed(loudness_lufs=before.loudness_lufs)  # type: ignore[no-any-return]


def _whose(show: Show, files: Mapping[str, object]) -> str:
    names = [s.name for s in show.sources if s.id in files]
    return f"{names[0]} is" if len(names) == 1 else f"{len(names)} sources are"


class MediaFiles:
    """``read`` looks at sources' files and takes in what they say; ``choose`` asks for one."""

    def __init__(self, state: WallState, said: FootWords, parent: QWidget) -> None:
        self._state = state
        self._said = said
        self._parent = parent
        self._work = Background("media", parent, nice=True)

    def read(self, *only: str) -> None:
        """Read the files of all sources, or of some by their ids.

        Raises:
            ChangeError: there is nothing to read.
        """
        store = self._state.store
        wanted = [s for s in store.show_now.sources if has_file(s) and (not only or s.id in only)]
        if store.folder is None:
            raise ChangeError("the show lies in no folder yet; save it first, then its files can be read")
        if not wanted:
            raise ChangeError("no source names a file; give one its file in the set-up")
        folder, allowed = store.folder, allowed_folders(user_config_path("showcaller"))

        def work() -> tuple[dict[str, FileFacts], list[str]]:
            found: dict[str, FileFacts] = {}
            wrong = []
            for source in wanted:
                try:
                    found[source.id] = as_loud(read_file(source, folder, allowed), source.read)
                except Refused as error:
                    wrong.append(f"{source.name}: {error}")
            return found, wrong

        self._said.say("reading what the sources' files say …")
        self._work.start(
            work, lambda done: self._take(*done), lambda error: self._said.say(str(error), "caution")
        )

    def _take(self, found: dict[str, FileFacts], wrong: list[str]) -> None:
        change = reading_change(self._state.show_now, found)
        try:
            if change is not None:
                names = [x.name for x in self._state.show_now.sources if x.id in found]
                whose = names[0] if len(names) == 1 else f"{len(names)} sources"
                self._state.store.do(
                    f"what the file{'s' * (len(names) > 1)} of {whose} say{'s' * (len(names) == 1)}", change
                )
        except ChangeError as error:
            wrong.append(str(error))
        more = f" (and {len(wrong) - 1} more)" if len(wrong) > 1 else ""
        if wrong:
            self._said.say(f"{wrong[0]}{more}", "caution")
        else:
            self._said.say(f"{len(found)} files read" if len(found) != 1 else "its file was read")
        self._state.look_again()
        self._listen({ident: f for ident, f in found.items() if f.sound and f.loudness_lufs is None})

    def _listen(self, files: dict[str, FileFacts]) -> None:
        """Measure how loud these are, behind all that was read: it takes as long as decoding the sound."""
        folder, allowed = self._state.store.folder, allowed_folders(user_config_path("showcaller"))
        if not files:
            return

        def work() -> dict[str, FileFacts]:
            heard: dict[str, FileFacts] = {}
            for ident, file in files.items():
                with contextlib.suppress(
                    Refused
                ):  # for information: what is wrong with a file is said elsewhere
                    heard[ident] = file.changed(loudness_lufs=loudness_of(file.name, folder, allowed))
            return heard

        self._work.start(work, self._heard, lambda error: self._said.say(str(error), "caution"))

    def _heard(self, files: dict[str, FileFacts]) -> None:
        """Take in how loud they are, of those that still have that file."""
        show = self._state.show_now
        now = {s.id: s for s in show.sources if s.read is not None}
        same = {i: f for i, f in files.items() if i in now and now[i].read.mark == f.mark}  # type: ignore[union-attr]
        change = reading_change(show, same)
        if change is not None:
            with contextlib.suppress(ChangeError):  # the book is another's now, or closed
                self._state.store.do(f"how loud {_whose(show, same)}", change)
            self._state.look_again()

    def choose(self, take: Callable[[str], object]) -> None:
        """Ask for a file; ``take`` is given its path as the document has it. The desk is not held up."""
        folder = self._state.store.folder
        patterns = " ".join(f"*{suffix}" for suffix in SUFFIXES.split())
        dialog = QFileDialog(
            self._parent, "The source's file", str(folder or Path.home()), f"Pictures ({patterns})"
        )
        dialog.setOption(QFileDialog.Option.DontUseNativeDialog)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(lambda name: take(self._named(Path(name))))
        dialog.setWindowModality(Qt.WindowModality.NonModal)
        dialog.show()

    def _named(self, path: Path) -> str:
        """Relative to the show, if it lies there."""
        folder = self._state.store.folder
        if folder is not None and path.resolve().is_relative_to(folder.resolve()):
            return path.resolve().relative_to(folder.resolve()).as_posix()
        return str(path)

    def names(self) -> tuple[str, ...]:
        """Files beside the show, and in the folders there, that a source could have."""
        folder, found = self._state.store.folder, []
        if folder is None:
            return ()
        for place in (
            folder,
            *sorted(p for p in folder.iterdir() if p.is_dir() and not p.name.startswith(".")),
        ):
            found += [
                p.relative_to(folder).as_posix()
                for p in sorted(place.iterdir())[:_MOST_FILES]
                if p.suffix.lower() in SUFFIXES.split()
            ]
        return tuple(found[:_MOST_FILES])

    def write_tests(self, text: str) -> str:
        """Write test pictures and templates into a folder beside the show, all of them for ``files``, or one;
        of all surfaces, or of one that is named behind it. What is being done.

        Raises:
            ChangeError: the show lies nowhere yet.
        """
        show = self._state.show_now
        which, on = meant_on(show, text)
        which = "" if which.lower() in ("files", "all") else which
        surface = "" if on is None else on.id
        return self._write("test-pictures", lambda where: write_test_files(show, where, which, surface))

    def write_sheets(self, edition: str) -> str:
        """Write a paper for each camera's operator beside the show; what is being done.

        Raises:
            ChangeError: the show lies nowhere yet.
        """
        show = self._state.show_now
        return self._write("camera-sheets", lambda where: write_camera_sheets(show, where, edition))

    def _write(self, name: str, make: Callable[[Path], Iterable[Path]]) -> str:
        folder = self._state.store.folder
        if folder is None:
            raise ChangeError("the show lies in no folder yet; save it first")
        where = folder / name
        self._work.start(
            lambda: [p.name for p in make(where)],
            lambda made: self._said.say(f"{len(made)} in {where}: {', '.join(made)}"),
            lambda error: self._said.say(str(error), "caution"),
        )
        return f"writing to {where} …"

    def close(self) -> None:
        """Read nothing more."""
        self._work.close(wait=False)
