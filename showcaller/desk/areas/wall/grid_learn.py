"""Learning what a pad or a fader does: choose a tile or a word, then touch it. The list of them."""

from showcaller.desk.areas.wall.state import GRID, WallState
from showcaller.desk.context import DeskContext
from showcaller.desk.pads.bindings import (
    FILE,
    BindingError,
    Controller,
    Controllers,
    Lights,
    bind,
    listed,
    read_controllers,
    unbind,
    write_controllers,
)
from showcaller.desk.pads.control import Heard
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.values import replace

WORDS = ("opacity", "amount", "next", "take", "page")
"""What can be learned beside tiles, in the order in which they stand in place of the changes."""

_LIGHT_WORDS = tuple(Lights.model_fields)


class Learning:
    """``on``: something is being learned, and neither tiles nor pads act; ``what`` it is, empty while it is
    still to be chosen. ``controllers`` are all bindings of this machine."""

    def __init__(self, state: WallState, said: FootWords, around: DeskContext) -> None:
        self._state, self._said, self._keys, self._prompt = state, said, around.keys, around.ask
        self._path = None if around.settings is None else around.settings / FILE
        self.controllers: Controllers = {}
        self.trouble = ""
        self.on = False
        self.what = ""
        self._read()

    def _read(self) -> None:
        try:
            self.controllers = {} if self._path is None else read_controllers(self._path)
        except BindingError as error:
            self.trouble = str(error)
            self._said.say(self.trouble, "caution")

    @property
    def note(self) -> str:
        """What is to be done now; empty while nothing is learned."""
        if not self.on:
            return ""
        key = self._keys["wall.learn"]
        if not self.what:
            return f"LEARN: choose a tile, or one of these · {key}: no more"
        return f"LEARN: touch the pad or move the fader for {self._name(self.what)} now · {key}: no more"

    @property
    def pads(self) -> dict[str, str]:
        """While learning: what is bound to what, ``tile 3`` → ``note 36``."""
        if not self.on:
            return {}
        return {does: f"{c.message} {c.number}" for _, c, does in listed(self.controllers)}

    def turn(self) -> None:
        """Begin to learn, or be done with it."""
        if self.trouble:
            raise ChangeError(self.trouble)
        if self.on:
            self.stop("nothing more is learned; pads and tiles act again")
            return
        self.on, self.what, self._state.panel = True, "", GRID

    def stop(self, why: str) -> bool:
        """No more; False if nothing was being learned."""
        was, self.on, self.what = self.on, False, ""
        if was:
            self._said.say(why, "caution")
        return was

    def choose_tile(self, place: int) -> None:
        """A tile was touched while learning: a pad for its place, whatever stands there."""
        self.what = f"tile {place + 1}"

    def choose_word(self, n: int) -> None:
        """One of ``WORDS``."""
        if n < len(WORDS):
            self.what = WORDS[n]

    def heard(self, name: str, heard: Heard) -> None:
        """A pad was touched or a fader moved while learning."""
        if not self.on or not self.what or not (heard.down or heard.control.message == "control"):
            return
        try:
            self._keep(bind(self.controllers, name, heard.control, self.what))
        except BindingError as error:
            self._said.say(str(error), "caution")  # and it is still asked for
            return
        self._said.say(f"{heard.control.words} of “{name}” is {self._name(self.what)}")
        self.what = ""

    def ask_list(self) -> None:
        """What is bound, to take one out, or to set the lights."""
        if self.trouble:
            raise ChangeError(self.trouble)
        rows = listed(self.controllers)

        def done(text: str) -> str | None:
            words = text.split()
            try:
                if len(words) == 1 and words[0].isdecimal() and 1 <= int(words[0]) <= len(rows):
                    name, control, does = rows[int(words[0]) - 1]
                    self._keep(unbind(self.controllers, name, control))
                    self._said.say(f"{control.words} of “{name}” is {self._name(does)} no more")
                    return None
                self._keep(self._with_lights(words))
            except BindingError as error:
                return str(error)
            self._said.say(f"lights: {' '.join(words)}")
            return None

        if not rows:
            raise ChangeError(f"no pad is bound yet: {self._keys['wall.learn']}, a tile, then touch the pad")
        lines = [
            f"{n}: {does} = {c.message} {c.number}/{c.channel}" for n, (_, c, does) in enumerate(rows, 1)
        ]
        heads = "; ".join(f"{name}: {self._lights(c)}" for name, c in self.controllers.items())
        self._prompt("Controllers: a number takes it out; or lights such as on 127 next 64 off 0", done,
                     f"{heads} · {' · '.join(lines)}")  # fmt: skip

    def _with_lights(self, words: list[str]) -> Controllers:
        pairs = dict(zip(words[::2], words[1::2], strict=False))
        if len(words) % 2 or not pairs or not pairs.keys() <= set(_LIGHT_WORDS):
            raise BindingError("type the number of one to take out, or lights: on 127 next 64 off 0")
        for word, value in pairs.items():
            if not value.isdecimal() or int(value) > 127:
                raise BindingError(f"the light for {word} is a velocity of 0 to 127, not '{value[:20]}'")
        levels = {word: int(value) for word, value in pairs.items()}
        return {
            name: replace(one, lights=one.lights.model_copy(update=levels))
            for name, one in self.controllers.items()
        }

    @staticmethod
    def _lights(one: Controller) -> str:
        return " ".join(f"{word} {getattr(one.lights, word)}" for word in _LIGHT_WORDS)

    def _name(self, does: str) -> str:
        """``place 3`` of the grid, letter ``E``."""
        word, _, number = does.partition(" ")
        return f"place {number}, letter {self._keys[f'tile.put_{number}']}" if word == "tile" else does

    def _keep(self, controllers: Controllers) -> None:
        self.controllers = controllers
        if self._path is not None:
            write_controllers(self._path, controllers)
