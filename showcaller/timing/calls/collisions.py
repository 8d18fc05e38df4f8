"""Why something cannot be said in time, in one sentence, and what would free it.

Every remedy offered has been worked out against the sheet: a standby said "1.2 s earlier" has a free stretch
there. A lead is lengthened in whole tenths of a second, as people write them.
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cached_property
from typing import Literal

from showcaller.model import Song, Speaking
from showcaller.model.clockwords import m_ss_part
from showcaller.timing.calls.sheet import CallLine, Collision, Stretch
from showcaller.timing.calls.tasks import FOREVER, NS, Gaps, down_ns, up_ns
from showcaller.timing.plan import PlannedItem
from showcaller.timing.speech import Naming, speaking_s
from showcaller.values import Struct


class Lost(Struct, frozen=True):
    """A standby or warning that was left out; ``cue`` is a place in the item's ``cues``."""

    what: Literal["standby", "warning"]
    cue: int


def explain(
    planned: PlannedItem,
    naming: Naming,
    speaking: Speaking,
    lands: Sequence[Fraction],
    lines: Sequence[CallLine],
    taken: Sequence[Stretch],
    unsaid: Sequence[CallLine],
    lost: Sequence[Lost],
    between: Callable[[], object],
) -> tuple[Collision, ...]:
    """A collision for every go and every standby or warning left out, in time order.

    ``lands`` is when each go of the item lands, ``lines`` what is said, in time order. ``between`` is called
    before each.
    """
    why = _Why(planned, naming, speaking, lands, lines, taken)
    found: list[Collision] = []
    for line in unsaid:
        between()
        found.append(why.unsaid_go(line))
    for one in lost:
        between()
        found.append(why.lost(one))
    return tuple(sorted(found, key=lambda collision: (collision.at_s, collision.cues)))


class _Why:
    """Looks for what is in the way, and for room elsewhere, on one sheet."""

    def __init__(
        self,
        planned: PlannedItem,
        naming: Naming,
        speaking: Speaking,
        lands: Sequence[Fraction],
        lines: Sequence[CallLine],
        taken: Sequence[Stretch],
    ) -> None:
        self.planned = planned
        self.naming = naming
        self.speaking = speaking
        self.lands = lands
        self.lines = lines
        self._go = {cue: n for n, go in enumerate(planned.goes) for cue in go.cues}
        self._warned_ns = {
            cue: up_ns(line.lands_s) for line in lines if line.what == "warning" for cue in line.cues
        }
        self._lands_ns = [up_ns(line.lands_s) for line in lines]
        self._breath_ns = up_ns(speaking.breath_s)
        self._taken = taken

    @cached_property
    def _gaps(self) -> Gaps:
        busy = [(down_ns(line.starts_s), end) for line, end in zip(self.lines, self._lands_ns, strict=True)]
        busy += [(down_ns(start), up_ns(end)) for start, end in self._taken]
        return Gaps(busy, self._breath_ns)

    def unsaid_go(self, line: CallLine) -> Collision:
        """A go that another leaves no time for."""
        breath = self.speaking.breath_s
        near = [other for other in self._over(line.starts_s, line.lands_s) if other.go is not None]
        other = min(near, key=lambda o: abs(o.lands_s - line.lands_s))
        assert line.go is not None
        at_s = self.planned.goes[line.go].at_s
        first, second = sorted((other, line), key=lambda one: one.lands_s)
        apart = second.lands_s - first.lands_s
        needs = second.takes_s + breath
        sentence = (
            f"{self._where(at_s)}: ‘{second.text}’ comes {_s(_down(apart))} s after ‘{first.text}’ and takes "
            f"{_s(_up(needs))} s to call. "
        )
        if line.cues and other.cues:
            before, after = first.cues[0], second.cues[0]
            remedies = ["put both at one instant"]
            if not self._follows(after):
                remedies.append(f"let {self.naming.name(after)} follow {self.naming.name(before)}")
            sentence += _either([*remedies, self._automatic(after)])
        else:
            cues = line.cues or other.cues
            name = self.naming.name(cues[0])
            sentence += _either(
                [
                    f"put {name} at the item's start",
                    f"move it {_s(_up(needs - apart))} s later",
                    self._automatic(cues[0]),
                ]
            )
        return Collision(tuple(sorted({*line.cues, *other.cues})), at_s, sentence)

    def lost(self, lost: Lost) -> Collision:
        """A standby or warning for which there is no room."""
        cue = self.planned.cues[lost.cue].cue
        name = self.naming.name(lost.cue)
        lead = cue.standby_s if lost.what == "standby" else cue.warning_s
        assert lead is not None
        last = self.lands[self._go[lost.cue]] - lead
        text, rate = self.naming.standby(lost.what, (lost.cue,)), self.speaking.words_per_minute
        takes = speaking_s(text, rate, self.speaking.wording.language)
        blocker = self._blocker(last, takes)
        thing = f"the {lost.what} for {name}"
        others: tuple[int, ...] = ()
        if blocker is None:
            at_s = last
            sentence = f"{self._where(at_s)}: {thing} is due while the item before is still being called."
        else:
            at_s, others = blocker.lands_s, blocker.cues
            if blocker.go is not None:
                at_s = self.planned.goes[blocker.go].at_s
                sentence = f"{self._where(at_s)}: ‘{blocker.text}’ falls while {thing} is being called."
            else:
                sentence = f"{self._where(at_s)}: ‘{blocker.text}’ is being called when {thing} is due."
        remedies = []
        free = self._free_before(last - self.speaking.early_s, takes, lost)
        if free is not None:
            more = _up(last - self.speaking.early_s - free)
            remedies.append(f"call that {lost.what} {_s(more)} s earlier (a lead of {_s(lead + more)} s)")
        if lost.what == "standby":
            if (
                blocker is not None
                and blocker.go is not None
                and blocker.cues
                and not self._follows(lost.cue)
            ):
                remedies.append(f"let {name} follow {self.naming.name(blocker.cues[0])}")
            remedies.append(self._automatic(lost.cue))
        else:
            remedies.append("do without that warning")
        return Collision(tuple(sorted({lost.cue, *others})), at_s, f"{sentence} {_either(remedies)}")

    def _over(self, start_s: Fraction, end_s: Fraction) -> list[CallLine]:
        """What is said within a breath of this stretch."""
        from_s, until_s = start_s - self.speaking.breath_s, end_s + self.speaking.breath_s
        found: list[CallLine] = []
        for line in self.lines[bisect_left(self._lands_ns, down_ns(start_s) - self._breath_ns) :]:
            if line.starts_s >= until_s:
                break
            if line.lands_s > from_s:
                found.append(line)
        return found

    def _blocker(self, last: Fraction, takes: Fraction) -> CallLine | None:
        """What is said over the latest moment of something left out; a go if there is one, else the first."""
        return min(
            self._over(last - takes, last), key=lambda line: (line.go is None, line.lands_s), default=None
        )

    def _free_before(self, limit: Fraction, takes: Fraction, lost: Lost) -> Fraction | None:
        """The latest end, no later than ``limit``, of a free stretch; None if a warning stands in the way."""
        takes_ns, least = up_ns(takes), -FOREVER
        if lost.what == "standby" and lost.cue in self._warned_ns:
            least = self._warned_ns[lost.cue] + self._breath_ns + takes_ns
        end = self._gaps.latest_end(down_ns(limit), takes_ns, least)
        return None if end is None else Fraction(end, NS)

    def _follows(self, cue: int) -> bool:
        """It hangs on another cue already, and only its go is in the way."""
        return self.planned.cues[cue].follows is not None

    def _automatic(self, cue: int) -> str:
        item, name = self.planned.item, self.naming.name(cue)
        follows = self.planned.cues[cue].follows
        if follows is not None:
            already = f"it follows {self.naming.name(follows)} already"
            return f"make {name} automatic ({already}: set ‘fires’ to ‘automatic’)"
        if isinstance(item, Song) and item.timecode_start is not None:
            return f"let timecode fire {name}"
        return f"make {name} automatic"

    def _where(self, at_s: Fraction) -> str:
        bar = self.planned.bar_number_at(at_s)
        if bar is not None and bar >= 1:
            return f"Bar {bar}"
        return m_ss_part(float(at_s), 1)


def _either(remedies: Sequence[str]) -> str:
    """The remedies as a sentence."""
    text = ", or ".join([*filter(None, [", ".join(remedies[:-1])]), remedies[-1]])
    return f"{text[0].upper()}{text[1:]}."


def _up(seconds: Fraction) -> Fraction:
    """The next whole tenth."""
    return Fraction(-(-10 * seconds.numerator // seconds.denominator), 10)


def _down(seconds: Fraction) -> Fraction:
    """The whole tenth before, so that a gap never reads as long as what it is too short for."""
    return Fraction(10 * seconds.numerator // seconds.denominator, 10)


def _s(seconds: Fraction) -> str:
    """Seconds to the tenth, for a sentence."""
    return f"{float(seconds):.1f}".removesuffix(".0")
