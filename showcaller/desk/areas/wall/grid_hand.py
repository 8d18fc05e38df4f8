"""The director's hand on the grid: a touch puts a look on, makes it next, or swaps a source."""

import time
from typing import Any

from showcaller.desk.areas.wall.grid_learn import Learning
from showcaller.desk.areas.wall.grid_places import LOOKS, Places
from showcaller.desk.areas.wall.grid_view import HOW, GridView, grid_view, how_change, how_said, how_words
from showcaller.desk.areas.wall.prepared import PreparedLook, next_look
from showcaller.desk.areas.wall.state import GRID, WallState
from showcaller.desk.areas.wall.wall_edits import WallEdits
from showcaller.desk.context import DeskContext
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.model.base import ById

TURN_GUARD_S = 0.7
"""For so long after a page has turned by itself, with the song, a touch does nothing: it was meant for what
stood there before."""

NOT_HERE = (
    "letters and pads of the grid act at the director's seat only (menu Seat), and not on a locked desk"
)


class GridHand:
    """``view`` is the page that is shown; ``keyed``: the grid has the keyboard. Refusals are ChangeErrors."""

    def __init__(self, state: WallState, edits: WallEdits, said: FootWords, around: DeskContext) -> None:
        self._state, self._edits, self._said, self._around = state, edits, said, around
        self._places = Places()
        self.learning = Learning(state, said, around)
        self.view: GridView | None = None
        self.keyed = False
        self.how = 0
        self._page = 0
        self._item = ""
        self._turned_s = -1e9
        self._seen: Any = None

    def look(self, now_s: float) -> None:
        """Follow what is shown; called at every frame."""
        state, scene = self._state, self._state.scene
        if state.panel != GRID:
            self.keyed = False
        if scene is None:
            self.view, self._seen = None, None
            return
        item = scene.plan.items[scene.item].item.id
        if item != self._item:
            if self._item and scene.live:
                self._turned_s = now_s
            self._item, self._page = item, 0
        coming = state.hand.next
        key = (ById(scene.show), ById(scene.plan), item, self._page, self.how, scene.live, ById(scene.on),
               scene.looks.index_at(scene.at_s), ById(scene.looks), ById(coming),
               scene.picture.sources)  # fmt: skip
        if key != self._seen:
            self._seen = key
            places = self._places.of(scene.show, item)
            self.view = grid_view(scene, coming, places, self._page, self.how, self._around.keys)
            self._page = self.view.page

    def turn_page(self, by: int) -> None:
        """Another page of the song."""
        if self.view is not None:
            self._page = (self._page + by) % self.view.pages
            self.look(time.monotonic())

    def choose_how(self, n: int) -> None:
        """From now on a touch brings a look by this change; while learning, one of the words instead."""
        if self.learning.on:
            self.learning.choose_word(n)
            return
        self.how = n % len(HOW)
        self._said.say(f"a touch brings a look by {how_words(self.how)}")
        self.look(time.monotonic())

    def take_keys(self) -> None:
        """The grid is shown and has the keyboard, at the director's seat; again: it has it no more."""
        if self.let_go():
            return
        self._state.panel = GRID
        self.only_director()
        self.keyed = True

    def let_go(self) -> bool:
        """Nothing is learned any more, or the grid has the keyboard no more; False if neither was so."""
        learned, had = self.learning.stop("nothing more is learned"), self.keyed
        self.keyed = had and learned
        return had or learned

    def only_director(self) -> None:
        """Refuse at any other seat."""
        if self._around.seat() != "director":
            raise ChangeError(NOT_HERE)

    def key(self, place: int, as_next: bool) -> None:
        """A tile's key was pressed, or its pad."""
        self.only_director()
        self.touch(place, as_next, time.monotonic())

    def touch(self, place: int, as_next: bool, now_s: float) -> None:
        """A tile was touched: by mouse, by its key, by a pad."""
        if self.learning.on:
            self.learning.choose_tile(place)
            return
        self.look(now_s)
        view = self.view
        tile = view.tiles[place] if view is not None else None
        if view is None or tile is None or not tile.kind:
            raise ChangeError(f"nothing stands in place {place + 1} of this page")
        if view.live and now_s - self._turned_s < TURN_GUARD_S:
            raise ChangeError(f"the page has just turned to “{view.song}”: look, then touch again")
        if place >= LOOKS:
            self._edits.layer.set_layer("source", {"source": tile.id})
            self._said.say(f"“{tile.name}” is in the chosen layer")
        elif not view.live:
            self._preview(tile.id, as_next)
        elif as_next:
            self._state.hand.prepare(PreparedLook(tile.id, how_change(tile.id, self.how)))
            self._said.say(f"“{tile.name}” is next: {how_said(self.how)}")
        else:
            self._put_on(tile.id)

    def _preview(self, look: str, as_next: bool) -> None:
        if as_next:
            raise ChangeError("no show is on, so nothing is next; without Shift the look is previewed here")
        self._said.say(f"“{self._edits.look.try_look(look)}” is previewed here")

    def _put_on(self, look: str) -> None:
        state, scene = self._state, self._state.scene
        session = state.hand.session
        if scene is None or session is None:
            raise ChangeError("no show is open at this desk")
        made = next_look(scene, PreparedLook(look, how_change(look, self.how)))
        if made is None:
            raise ChangeError(f"the show that is on has no look '{look}'")
        session.send(made.command)
        if state.hand.prepared.look == look:
            state.hand.prepare(PreparedLook())
        trouble = "" if made.fit.fits else f"; {made.fit.words}"
        self._said.say(f"“{made.look.name}” is put on: {how_said(self.how)}{trouble}",
                       "quiet" if made.fit.fits else "caution")  # fmt: skip
