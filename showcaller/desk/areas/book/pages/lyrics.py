"""A song's lyrics, line by line: typed, put in order, taken out; and the cues that hang on their words."""

from collections.abc import Callable

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.changes import Change, ChangeError
from showcaller.editing.lyrics import (
    HINT,
    add_line,
    change_line,
    line_text,
    move_line,
    place_text,
    remove_line,
    song_at,
)
from showcaller.editing.placing import clock_text, cue_name
from showcaller.model import LyricLine, Show, Song, WordAnchor
from showcaller.timing.lyrics import bare_word
from showcaller.timing.plan import compile_item

Typed = Callable[[str], str | None]


class Lyrics(Page):
    """One row a line, in the order of the document. A line without a place says about when it is sung."""

    widths = (0.16, 0.5, 0.34)

    def __init__(
        self,
        song_id: str,
        show: Callable[[], Show],
        do: Callable[[str, Change], bool],
        type_line: Callable[[str, str, Typed], None],
        say: Callable[[str, str], None],
    ) -> None:
        super().__init__()
        self._id = song_id
        self._show = show
        self._do = do
        self._type = type_line
        self._say = say
        self.title = f"Lyrics of {self._song().name}"

    def _song(self) -> Song:
        return song_at(self._show(), self._id)

    def lead(self) -> str:
        lines = self._song().lyrics
        placed = sum(line.bar is not None or line.seconds is not None for line in lines)
        between = (
            f"; {len(lines) - placed} lie between their neighbours, evenly" if placed < len(lines) else ""
        )
        return f"{len(lines)} lines, {placed} with a place{between}. A cue hangs on a word as 'on lit'."

    def hint(self) -> str:
        add, remove, up, into = (self.keys[f"book.{n}"] for n in ("new_cue", "remove", "up", "import"))
        words = f"Enter: type · {add}: a line after it · {remove}: remove · {up}: up · {into}: import a file"
        return f"{words} · Escape goes back"

    def lines(self) -> tuple[Line, ...]:
        song, show = self._song(), self._show()
        planned = compile_item(song, show.timecode_rate)
        sung = {one.line.id: one for one in planned.lyrics}
        on: dict[str, list[str]] = {}
        for one in planned.cues:
            anchor = one.cue.anchor
            if isinstance(anchor, WordAnchor):
                word = bare_word(sung[anchor.line].line.words[anchor.word - 1])
                on.setdefault(anchor.line, []).append(f"{cue_name(show, one.cue)} on “{word}”")
        found = []
        for line in song.lyrics:
            about = f"about {clock_text(round(sung[line.id].begins_s, 0))}"
            found.append(Line((place_text(line) or about, line.text, ", ".join(on.get(line.id, ())))))
        key = self.keys["book.new_cue"]
        return tuple(found) or (Line((f"none yet. {key}, then {HINT}",), "quiet"),)

    def _chosen(self) -> LyricLine | None:
        lines = self._song().lyrics
        return lines[self.at] if self.at < len(lines) else None

    def enter(self) -> None:
        line = self._chosen()
        if line is None:
            self.act("new_cue")
            return
        self._type(f"a line: {HINT}", line_text(line), lambda text: self._change(line, text))

    def act(self, name: str) -> bool:
        line, song = self._chosen(), self._song()
        if name == "new_cue":
            self._type(f"one more line: {HINT}", "", self._add)
        elif name == "remove" and line is not None:
            change, lost = remove_line(self._show(), song.id, line.id)
            self._made(f"removed a line of {song.name}", change, lost)
        elif name in ("up", "down") and line is not None:
            by = -1 if name == "up" else 1
            if self._do(f"moved a line of {song.name}", move_line(song, line.id, by)):
                self.at = max(0, min(len(song.lyrics) - 1, self.at + by))
        else:
            return False
        return True

    def _add(self, text: str) -> str | None:
        song = self._song()
        index = min(self.at + 1, len(song.lyrics))
        try:
            change = add_line(self._show(), song.id, index, text)
        except ChangeError as error:
            return str(error)
        if not self._do(f"a line of {song.name}", change):
            return f"that cannot be read; give {HINT}"
        self.at = index
        return None

    def _change(self, line: LyricLine, text: str) -> str | None:
        if text.strip() == line_text(line):
            return None
        try:
            change, lost = change_line(self._show(), self._id, line.id, text)
        except ChangeError as error:
            return str(error)
        return None if self._made("changed a line", change, lost) else f"that cannot be read; give {HINT}"

    def _made(self, words: str, change: Change, lost: str) -> bool:
        done = self._do(words, change)
        if done and lost:
            self._say(f"{words}; {lost}", "caution")
        return done
