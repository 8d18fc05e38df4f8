"""What the wall area shows at an instant: which looks, of which item, where in it. Kept until it changes."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from showcaller.desk.areas.wall.rehearsal import Rehearsal, looks_with
from showcaller.model import Layer, Look, Show, Wall
from showcaller.model.base import ById
from showcaller.run.carrying import DONE
from showcaller.run.compiled import NS
from showcaller.run.on_wall import gone_back, looks_as_run, planned_look, with_hand
from showcaller.run.playing import look_now, look_of
from showcaller.run.runbook import RunBook
from showcaller.run.state import OnWall
from showcaller.screen.advice import Budget, budgets
from showcaller.screen.away import away_words
from showcaller.screen.board import Needs, needs_of
from showcaller.screen.looks import Looks, Standing, layer_keys
from showcaller.screen.picture import Picture
from showcaller.screen.played import Played, with_played
from showcaller.screen.spread import WallSpread, spread_look, spread_of, spread_picture
from showcaller.screen.surfaces import placed_on, split_key, surface_named
from showcaller.timing.plan import Plan, compile_plan
from showcaller.values import Struct, replace


class Scene(Struct, frozen=True):
    """An instant of an item.

    Attributes:
        looks: what is composed: as planned, as tried, or in a run as they came.
        planned: the item's looks as planned (and tried), for what is to come and for the channels.
        live: it follows a run.
        moving: time goes on.
        on: in a run, what stands on the wall and what a hand has changed of it; None before any look.
        done: in a run, cues of the item that were given or passed over.
    """

    show: Show
    plan: Plan
    wall: Wall
    """The first surface."""
    item: int
    at_s: float
    looks: Looks
    planned: Looks
    budgets: tuple[Budget, ...]
    """The channels of each pool."""
    needs: Needs
    live: bool
    moving: bool
    tried: bool = False
    other: str = ""
    on: OnWall | None = None
    done: frozenset[str] = frozenset()

    @property
    def standing(self) -> Standing:
        """The look that has set out last."""
        return self.looks.standing[self.looks.index_at(self.at_s)]

    @property
    def spread(self) -> WallSpread:
        """All surfaces, as they lie in the picture."""
        return spread_of(self.show)

    @property
    def spread_look(self) -> Look:
        """The look that stands, with a layer for each place of its layers, in the metres of the picture."""
        return spread_look(self.spread, self.standing.look)

    def surface(self, key: str | None, other: str = "") -> Wall:
        """The surface that a layer, or a further place of one, is on; where there is none the one with the id
        ``other``, else the first."""
        found = self._found(key)
        ident = other if found is None else split_key(key or "")[1] or found[1].surface
        return surface_named(self.show, ident or "") or self.wall

    def is_hidden(self, key: str) -> bool:
        """Whether a hand has taken a layer, or a place of one, out."""
        played = {} if self.on is None else self.on.played
        return any(played.get(name, {}).get("hidden") for name in (key, split_key(key)[0]))

    @property
    def away(self) -> str:
        """In a run, how far the wall is from the plan, in words; empty where it is not."""
        if self.on is None:
            return ""
        names = {s.id: s.name for s in self.show.sources}
        planned, shown = planned_look(self.show, self.on), look_of(self.show, self.on.shown)
        return away_words(planned, shown, look_now(self.show, self.on), self.on.played, names)

    @property
    def coming(self) -> Standing | None:
        """The planned look that comes next in this item: by the clock, in a run by what was given."""
        if self.live:
            return next(iter(self.to_come), None)
        return next((s for s in self.planned.standing if s.at_s > self.at_s + 1e-6), None)

    @property
    def to_come(self) -> tuple[Standing, ...]:
        """In a run: the item's planned looks whose cues were not given yet."""
        return tuple(s for s in self.planned.standing if s.cue and s.cue not in self.done)

    @property
    def taken(self) -> str:
        """In a run, the id of the look that was put up by hand and stands; empty where a cue brought it."""
        shown = None if self.on is None else self.on.shown
        return "" if shown is None or shown.cue is not None or shown.to_plan else shown.look

    @property
    def picture(self) -> Picture:
        """What is on the wall."""
        return spread_picture(self.spread, self.looks, self.at_s)

    def picture_with(self, ahead: Played) -> Picture:
        """What is on the wall, with what is played of the look that stands and not yet in the log."""
        if not ahead:
            return self.picture
        n = self.looks.index_at(self.at_s)
        now = self.looks.standing[n]
        made = now._replace(look=with_played(now.look, ahead))
        standing = (*self.looks.standing[:n], made, *self.looks.standing[n + 1 :])
        return spread_picture(self.spread, replace(self.looks, standing=standing), self.at_s)

    def layer(self, key: str | None) -> tuple[int, Layer] | None:
        """A layer of the look by what it goes by: (its place from the back, the layer as it lies on its own
        surface); by the key of a further place as it lies there."""
        found = self._found(key)
        name, surface = split_key(key or "")
        if found is None or not surface:
            return found
        there = placed_on(found[1], name, surface, self.wall.id)
        return None if there is None else (found[0], there)

    def lifted(self, key: str | None) -> Layer | None:
        """The same in the metres of the picture."""
        found = self.layer(key)
        return None if found is None else self.spread.lifted(found[1], self.surface(key).id)

    def name_in_look(self, key: str | None) -> str:
        """What a key's layer goes by in an override."""
        found = self._found(key)
        return "" if found is None else str(self.standing.look.layers[found[0]].key)

    def _found(self, key: str | None) -> tuple[int, Layer] | None:
        """(its place, the layer) of a key's layer, whichever of its places is meant."""
        keys, name = layer_keys(self.standing.look), split_key(key or "")[0]
        return (keys.index(name), self.standing.look.layers[keys.index(name)]) if name in keys else None


@dataclass(slots=True)
class Scenes:
    """Makes scenes, remembering what costs."""

    _plans: dict[int, tuple[Show, Plan, Needs]] = field(default_factory=dict)
    _looks: dict[Any, Any] = field(default_factory=dict)
    _hand: tuple[OnWall, Looks, Looks] | None = None

    def plan_of(self, show: Show) -> tuple[Plan, Needs]:
        """A show's plan and what it needs when."""
        kept = self._plans.get(id(show))
        if kept is None or kept[0] is not show:
            if len(self._plans) > 3:
                self._plans.clear()
                self._looks.clear()
            plan = compile_plan(show)
            kept = self._plans[id(show)] = (show, plan, needs_of(plan) if show.wall is not None else {})
        return kept[1], kept[2]

    def live(self, book: RunBook, now_ns: int) -> Scene | None:
        """What a run has on the wall."""
        plan = book.compiled.plan
        show, item = plan.show, book.state.item
        if show.wall is None:
            return None
        _, needs = self.plan_of(show)
        planned, worked = self._planned(show, plan, item, {})
        at_ns = book.state.item_ns(now_ns)
        at_s = 0.0 if at_ns is None else at_ns / NS
        moving = at_ns is not None and book.state.phase == "running"
        looks = self._as_run(book, item, at_s)
        on = book.state.on_wall
        ids = book.compiled.items[item].ids
        done = frozenset(ids[k] for k, mark in book.state.marks[item].items() if mark.status in DONE)
        return Scene(
            show, plan, show.wall, item, at_s, looks, planned, worked, needs, True, moving, on=on, done=done
        )

    def _as_run(self, book: RunBook, item: int, at_s: float) -> Looks:
        key = ("live", book, len(book.looks), item, gone_back(book, item, at_s), ById(book.compiled))
        if key not in self._looks:
            self._keep(key, looks_as_run(book, item, at_s))
        looks: Looks = self._looks[key]
        on = book.state.on_wall
        if on is None or not on.played:
            return looks
        if self._hand is None or self._hand[0] is not on or self._hand[1] is not looks:
            self._hand = on, looks, with_hand(book.compiled.plan.show, looks, on)
        return self._hand[2]

    def rehearsed(self, show: Show, rehearsal: Rehearsal, now_s: float, other: str = "") -> Scene | None:
        """What the plan has on the wall, where the rehearsal is."""
        if show.wall is None:
            return None
        plan, needs = self.plan_of(show)
        ids = [p.item.id for p in plan.items]
        item = ids.index(rehearsal.item) if rehearsal.item in ids else 0
        planned, worked = self._planned(show, plan, item, rehearsal.tried)
        at_s = rehearsal.at_s(now_s, planned.length_s)
        moving = rehearsal.playing and (at_s < planned.length_s or rehearsal.speed < 0)
        known = {k.id for k in show.looks}
        tried = any(k[0] == ids[item] and c.look in known for k, c in rehearsal.tried.items())
        return Scene(
            show, plan, show.wall, item, at_s, planned, planned, worked, needs, False, moving, tried, other
        )

    def _planned(
        self, show: Show, plan: Plan, item: int, tried: Mapping[tuple[str, str], Any]
    ) -> tuple[Looks, tuple[Budget, ...]]:
        key = ("plan", id(plan), item, tuple(tried.items()))
        if key not in self._looks:
            looks = looks_with(plan, item, tried)
            self._keep(key, (looks, budgets(show, looks)))
        found: tuple[Looks, tuple[Budget, ...]] = self._looks[key]
        return found

    def _keep(self, key: Any, value: Any) -> None:
        if len(self._looks) > 60:
            self._looks.clear()
        self._looks[key] = value
