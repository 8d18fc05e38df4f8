"""What is being prepared beside a show in progress: the look that comes next, chosen or edited. No Qt.

Nothing of it is on the log or at another desk until it is taken.
"""

from fractions import Fraction

from showcaller.calling.wording import span
from showcaller.desk.areas.wall.scene import Scene
from showcaller.model import Look, LookChange
from showcaller.run import commands as c
from showcaller.screen.fitting import Fit, fit
from showcaller.screen.looks import BLACK, arrange, overridden
from showcaller.screen.picture import change_words
from showcaller.screen.played import Played, merged, played_of, with_played
from showcaller.values import Struct, replace


class PreparedLook(Struct, frozen=True):
    """``look`` is its id, empty for the one the plan has next; ``how`` it comes, None for a cut (or as
    planned); ``played`` is what is otherwise than in the look."""

    look: str = ""
    how: LookChange | None = None
    played: Played | None = None

    @property
    def is_anything(self) -> bool:
        """Whether something was chosen or edited."""
        return self != PreparedLook()


class NextLook(Struct, frozen=True):
    """The look that is prepared: as it will be, how it comes, whether the plan has it so, and if it fits."""

    look: Look
    change: LookChange
    overrides: Played
    planned: bool
    when: str
    fit: Fit
    scene: Scene
    """The same as something to look at and to edit."""

    @property
    def edited(self) -> bool:
        """Whether it is otherwise than the look is elsewhere."""
        return bool(self.overrides)

    @property
    def words(self) -> str:
        """``mix over 8 beats · planned in 0:07``."""
        return " · ".join(filter(None, (change_words(self.change), self.when)))

    @property
    def command(self) -> c.PutLook:
        """What takes it."""
        change = self.change
        return c.PutLook(self.look.id, change.by, change.beats, dict(self.overrides) or None)


def planned_words(in_s: float) -> str:
    """``planned in 0:07``, or ``planned 0:07 ago`` where its cue was not given yet."""
    return f"planned in {span(in_s)}" if in_s >= 0 else f"planned {span(-in_s)} ago"


def next_look(scene: Scene, prepared: PreparedLook) -> NextLook | None:
    """What is prepared, the plan's next look by default; None where there is neither."""
    found = _chosen(scene, prepared.look) if prepared.look else _planned(scene)
    if found is None:
        return None
    change, base, when = found
    how = prepared.how
    if how is not None:
        change = change.model_copy(update={"by": how.by, "beats": how.beats, "ease": how.ease})
    played = prepared.played or {}
    look = with_played(base, played)
    overrides = played_of(change.overrides)
    for layer, fields in played.items():
        overrides = merged(overrides, layer, fields)
    planned = scene.plan.items[scene.item]
    shown = arrange(planned, [(Fraction(0), LookChange(look=look.id), look, "")])
    # Whoever edits it sees it at rest.
    still = replace(scene, looks=shown, at_s=float(planned.item.length_s), on=None, moving=False)
    how_it_fits = fit(scene.show, planned, scene.standing.look, look, change)
    as_planned = not prepared.look and not played and how is None
    return NextLook(look, change, overrides, as_planned, when, how_it_fits, still)


def _chosen(scene: Scene, ident: str) -> tuple[LookChange, Look, str] | None:
    look = next((k for k in scene.show.looks if k.id == ident), None)
    if look is None:
        return None
    coming = scene.coming
    planned = coming is not None and coming.look.id == ident
    when = f"by hand · {planned_words(coming.at_s - scene.at_s)}" if coming and planned else "by hand"
    return LookChange(look=look.id), look, when


def _planned(scene: Scene) -> tuple[LookChange, Look, str] | None:
    """The look the plan has next, in this item or in a later one; one that was taken before its cue is on
    already, and the one after it is next."""
    skipped = scene.taken
    coming = next((s for s in scene.to_come if s.look.id != skipped), None)
    if coming is not None:
        return coming.change, coming.look, planned_words(coming.at_s - scene.at_s)
    by_id = {k.id: k for k in scene.show.looks}
    for planned in scene.plan.items[scene.item + 1 :]:
        for one in planned.cues:
            change = one.cue.look
            if change is not None and change.look != skipped:
                look = overridden(by_id.get(change.look, BLACK), change.overrides)
                return change, look, f"planned in “{planned.item.name}”"
    return None
