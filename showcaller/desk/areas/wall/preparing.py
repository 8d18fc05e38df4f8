"""The director's hand on what comes next: chosen, edited, its transition, taken."""

from showcaller.desk.areas.wall.live_hand import Side
from showcaller.desk.areas.wall.look_changes import change_from_text
from showcaller.desk.areas.wall.named import found, suggestions
from showcaller.desk.areas.wall.prepared import NextLook, PreparedLook
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.ask import Ask
from showcaller.desk.keys import Keys
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.model import Look
from showcaller.screen.picture import change_words
from showcaller.values import replace


def turn(state: WallState, side: Side) -> None:
    """Let keys and fields act on that side; a layer chosen on the other one is not."""
    if side != state.hand.side:
        state.hand.side, state.chosen, state.drag = side, None, None


class Preparing:
    """A refusal is a ChangeError."""

    def __init__(self, state: WallState, said: FootWords, keys: Keys, ask: Ask) -> None:
        self._state = state
        self._said = said
        self._keys = keys
        self._prompt = ask

    def other_side(self) -> None:
        """The keys of a layer act on what is next, or on what is on again."""
        if self._next() is not None:
            state = self._state
            turn(state, "on" if state.hand.side == "next" else "next")

    def step(self, by: int) -> None:
        """Prepare another look of the show: the one before or after in its list."""
        now, looks = self._next(), self._looks()
        ids = [k.id for k in looks]
        at = ids.index(now.look.id) if now is not None and now.look.id in ids else -1
        if ids:
            self._state.hand.prepare(PreparedLook(ids[(at + by) % len(ids)]))

    def take(self) -> None:
        """Put it on the wall now, by its transition."""
        now, session = self._next(), self._state.hand.session
        if now is None or session is None:
            raise ChangeError("nothing is next: choose a look first, or make one on the plan")
        session.send(now.command)
        self._state.hand.prepare(PreparedLook())
        turn(self._state, "on")
        trouble = "" if now.fit.fits else f"; {now.fit.words}"
        self._said.say(f"“{now.look.name}” is taken: {change_words(now.change)}{trouble}",
                       "quiet" if now.fit.fits else "caution")  # fmt: skip

    def ask_look(self) -> None:
        """Ask which look is next."""
        self._need_run()
        looks = self._looks()

        def done(text: str) -> str | None:
            name, _, how = text.partition(",")
            try:
                look = found(looks, name, "look")
                change = change_from_text(look.id, how) if how.strip() else None
            except ChangeError as error:
                return str(error)
            self._state.hand.prepare(PreparedLook(look.id, change))
            return None

        words = f"nothing goes out until {self._keys['wall.take']} takes it (or: its name, mix 8)"
        self._prompt("Prepare which look?", done, words,
                     suggest=lambda text: suggestions(looks, text.partition(",")[0]))  # fmt: skip

    def ask_transition(self) -> None:
        """Ask how it comes."""
        now = self._next()
        if now is None:
            raise ChangeError("nothing is next: choose a look first, or make one on the plan")

        def done(text: str) -> str | None:
            try:
                change = change_from_text(now.look.id, text)
            except ChangeError as error:
                return str(error)
            self._state.hand.prepare(replace(self._state.hand.prepared, how=change))
            return None

        words = f"now: {change_words(now.change)}. cut; or mix, move, wipe over 8; even, slow start, slow end"
        self._prompt(f"Transition into “{now.look.name}”, which is next?", done, words)

    def discard(self) -> bool:
        """What the plan has next is next again; False if it was."""
        if not self._state.hand.prepared.is_anything:
            return False
        self._state.hand.prepare(PreparedLook())
        self._said.say("what the plan has next is next again")
        return True

    def _looks(self) -> tuple[Look, ...]:
        scene = self._state.scene
        return () if scene is None else scene.show.looks

    def _need_run(self) -> None:
        if self._state.hand.session is None or not self._state.live:
            raise ChangeError(f"no show is on; {self._keys['wall.try']} previews a look here")

    def _next(self) -> NextLook | None:
        self._need_run()
        return self._state.hand.next
