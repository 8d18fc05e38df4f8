"""Keys for when the night does not go by the plan: places, unplanned items, walks, overrides, handover."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView, missed_cues
from showcaller.calling.doubting import InDoubt, in_doubt
from showcaller.calling.finding import Found, find_places, suggestions
from showcaller.calling.going import cue_names, going_to, going_words, standing_here
from showcaller.calling.handover import handover_page
from showcaller.calling.status_view import ClearanceRow, clearance_rows
from showcaller.calling.taking_back import taken_back_last
from showcaller.desk.ask import Done
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c
from showcaller.run.wall import FAULTS
from showcaller.screen.faults import panels_meant

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class NightKeys:
    """One method an action; each asks before it does anything that cannot be taken back."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys

    def jump(self, session: RunSession, _view: CallView) -> None:
        """Find a place, say what going there means, go."""
        book = session.book

        def done(text: str) -> str | None:
            places = find_places(book, text)
            if not places:
                return f"nothing is named '{text}'; type an item's name, or a cue such as 'lights 12.5'"
            self._ask_going(session, places[0])
            return None

        self._words.ask("Go to", done, suggest=lambda text: suggestions(book, text))

    def _ask_going(self, session: RunSession, found: Found) -> None:
        going = going_to(session.book, found)

        def done(text: str) -> str | None:
            word = text.upper()
            if word not in ("", "SEND", "STOP"):
                return (
                    "Enter jumps, SEND jumps and resends, STOP jumps and stops the clock, Escape stays here"
                )
            session.send(c.Jump(item=found.item, cue=found.cue, cue_up=word == "STOP"))
            if word == "SEND" and going.stand:
                session.send(c.Resend(cues=tuple(c.id for c in going.stand)))
            return None

        self._words.ask(found.words, done, going_words(session.book, going))

    def wrong(self, session: RunSession, _view: CallView) -> None:
        """Mark the last go as wrong: one key, at once, since it changes nothing but the record."""
        back = taken_back_last(session.book)
        if back is not None:
            words = f"{session.book.cue_name(back)} is taken back already; the log has it so"
            self._words.say("nothing to mark as wrong", words, 3.0, "quiet")
            return
        session.send(c.Wrong())
        goes = [s.name or s.text for s in session.book.said if s.go]
        if goes:
            self._words.say("marked as wrong", goes[-1], 2.0)

    def fault(self, session: RunSession, _view: CallView) -> None:
        """Mark a panel of the wall as faulty, or one that is marked as mended."""
        show = session.book.compiled.plan.show
        if show.wall is None:
            self._words.say("wall fault", "This show has no wall", 2.0, "quiet")
            return

        def done(text: str) -> str | None:
            mended = text.lower().rstrip().endswith(" mended")
            what = next((w for w in FAULTS if text.lower().rstrip().endswith(f" {w}")), "dead")
            name = text.lower().rstrip().removesuffix(" mended").removesuffix(f" {what}")
            found = panels_meant(show, name)
            if isinstance(found, str):
                return found
            _, panel, rows = found
            session.send(c.Fault(column=panel.column, row=panel.row, rows=rows, what=what, mended=mended,
                                 surface=panel.surface or None))  # fmt: skip
            return None

        hint = "C4 or 3,4; 'strip C' for a column; then dim, flickering, wrong colour or mended; alone: dead"
        if len(show.surfaces) > 1:
            hint += f". Not on {show.wall.name}: its surface first, such as {show.surfaces[1].name} C4"
        self._words.ask("Which panel of the wall is faulty?", done, hint)

    def insert(self, session: RunSession, _view: CallView) -> None:
        """Slip in an item that is not in the plan."""

        def done(text: str) -> str | None:
            if not text:
                return "the item needs a name, such as: talk, encore"
            session.send(c.Insert(name=text))
            return None

        hint = "such as: talk, encore; it lasts until the next item's go"
        self._words.ask("Insert an item that begins now. Its name?", done, hint)

    def take(self, session: RunSession, view: CallView) -> None:
        """Fire by hand the next cue that would fire by itself."""
        state = session.book.state
        book = session.book
        itself = [r for r in view.ladder if r.what == "automatic" and r.cues and r.item == state.item]
        mine = [(r.cues[0], r.name) for r in itself]
        mine = [(cue, book.cue_name(cue)) for cue in missed_cues(book)] + mine
        if not mine:
            self._words.say("fire by hand", "This item has no automatic cue to come", 2.0, "quiet")
        elif self._words.twice("take", mine[0][0]):
            session.send(c.TakeOver(cue=mine[0][0]))
        else:
            self._words.say("press again to fire by hand", mine[0][1], 3.0)

    def resend(self, session: RunSession, _view: CallView) -> None:
        """Send where every device should stand at this place."""
        stand = standing_here(session.book)
        if not stand:
            self._words.say("resend", "Nothing has been sent before this place", 2.0, "quiet")
            return

        def done(text: str) -> str | None:
            if text.upper() != "SEND":
                return "type SEND, or press Escape"
            session.send(c.Resend(cues=tuple(c.id for c in stand)))
            return None

        names = cue_names(session.book, stand, 10)
        self._words.ask("Resend the current state?", done, f"{names}. Type SEND.")

    def doubts(self, session: RunSession, _view: CallView) -> None:
        """What was fired and may not have left, one after another: send it now, or leave it."""
        rows = in_doubt(session.book)
        if not rows:
            self._words.say("in doubt", "Everything that was fired has been sent", 2.0, "quiet")
            return
        self._ask_doubt(session, rows)

    def _ask_doubt(self, session: RunSession, rows: tuple[InDoubt, ...]) -> None:
        row, rest = rows[0], rows[1:]
        may = "LEAVE leaves it unsent" if row.hazard else "SEND sends it now, LEAVE leaves it unsent"

        def done(text: str) -> str | None:
            answer = text.upper()
            if answer not in ("LEAVE", "L") and (row.hazard or answer not in ("SEND", "S")):
                return f"{may}; Escape decides later"
            session.send(c.Settle(cue=row.cue, send=answer.startswith("S")))
            if rest:
                self._ask_doubt(session, rest)
            return None

        hint = (
            "It is hazardous: showcaller never sends it afterwards. Speak to its operator. "
            if row.hazard
            else ""
        )
        more = f" {len(rest)} more after this." if rest else ""
        self._words.ask(
            row.words, done, f"{hint}Ask the department what it saw. {may}; Escape decides later.{more}"
        )

    def override(self, session: RunSession, view: CallView) -> None:
        """Let a go pass without a clearance: which, who is entitled, why."""
        rows = {r.key: r for r in clearance_rows(session.book, session.now_ns()) if not r.there}
        if not rows:
            self._words.say("override", "No clearance is missing", 2.0, "quiet")
            return

        def done(text: str) -> str | None:
            if text not in rows:
                return f"type the number of a missing clearance: {', '.join(rows)}"
            self._ask_entitled(session, rows[text])
            return None

        # What this go waits for first.
        now = () if view.next_go is None else view.next_go.waits
        listed = sorted(rows.items(), key=lambda found: found[1].name not in now)
        hint = "; ".join(f"{key} {row.name}" for key, row in listed)
        self._words.ask("Override which clearance?", done, hint)

    def _ask_entitled(self, session: RunSession, row: ClearanceRow) -> None:
        def reason(by: str) -> Done:
            def done(text: str) -> str | None:
                if not text:
                    return "type the reason, or press Escape: it goes into the log"
                session.send(c.OverrideClearance(clearance=row.id, reason=text, by=by))
                return None

            return done

        def who(text: str) -> str | None:
            if not text:
                return "type the name of who is entitled to override, or press Escape"
            self._words.ask(
                f"{text} overrides '{row.name}'. Why?", reason(text), "it is logged, in these words"
            )
            return None

        self._words.ask(f"Who is entitled to override '{row.name}'?", who, "a name; it is logged")

    def answers(self, session: RunSession, _view: CallView) -> None:
        """Say which departments have answered, by their letters or names."""
        departments = session.book.compiled.plan.show.departments

        def done(text: str) -> str | None:
            words = text.lower().replace(",", " ").split()
            known = {n.lower(): d.id for d in departments for n in (d.letters, d.name, d.id)}
            unknown = [w for w in words if w not in known]
            if not words or unknown:
                return f"'{unknown[0] if unknown else text}' is not a department; type any of " + ", ".join(
                    d.letters for d in departments
                )
            session.send(c.Answer(departments=tuple(known[w] for w in words)))
            return None

        hint = "  ".join(f"{d.letters} {d.name}" for d in departments)
        self._words.ask("Who is standing by?", done, hint)

    def handover(self, session: RunSession, _view: CallView) -> None:
        """Show the page for the next caller and take their name."""
        page = handover_page(session.book, session.now_ns())
        rows = "".join(
            f"<tr><td><b>{escape(part.title)}</b>&nbsp;&nbsp;</td>"
            f"<td>{'<br>'.join(escape(line) for line in part.lines)}</td></tr>"
            for part in page
        )

        def done(text: str) -> str | None:
            if not text:
                return "type the name of who takes over, or press Escape"
            session.send(c.Handover(to=text))
            return None

        self._words.ask("Hand the desk to", done, f"<table>{rows}</table>")
