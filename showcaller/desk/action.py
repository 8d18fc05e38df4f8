"""What an action of the desk is. The table of all of them is ``desk/actions.py``. Pure."""

from typing import Literal

from showcaller.values import Struct

Need = Literal["", "run", "no run"]


class Action(Struct, frozen=True):
    """One thing that can be done.

    ``keys`` are the usual chords, the first is the one that is shown. ``where`` is ``desk`` (everywhere),
    ``run`` (acts on the run that is on) or names the areas it belongs to, ``Grid`` being the Wall's grid
    while it has the keyboard. ``twice``: the key is asked for a second time.
    """

    id: str
    keys: tuple[str, ...]
    word: str
    does: str
    menu: str
    where: tuple[str, ...]
    needs: Need = ""
    twice: bool = False

    @property
    def of_run(self) -> bool:
        """Whether it acts on the run."""
        return self.where == ("run",)


def an_action(
    id_: str, keys: str, word: str, does: str, menu: str, where: str, needs: Need = "", twice: bool = False
) -> Action:
    """An action from its line in the table: keys and places are words."""
    return Action(id_, tuple(keys.split()), word, does, menu, tuple(where.split()), needs, twice)


def of_a_run(id_: str, keys: str, word: str, does: str, menu: str = "Call", twice: bool = False) -> Action:
    """One that acts on the run that is on, from its line."""
    return an_action(id_, keys, word, does, menu, "run", "run", twice)
