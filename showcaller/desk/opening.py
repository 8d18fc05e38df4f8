"""Opening a run and ending it: every question on the way, each answered by a word that is typed."""

from collections.abc import Callable
from pathlib import Path

from showcaller.calling.wording import day_time
from showcaller.desk.ask import Ask
from showcaller.desk.run_controller import RunController
from showcaller.timing.planned_start import zone_of


class Opening:
    """Asks who calls, whether messages leave, how to rehearse; and END before anything is ended."""

    def __init__(self, host: RunController, ask: Ask) -> None:
        self._host = host
        self._ask = ask
        self.leaving = False
        """The desk is left while a show is in progress."""

    def open_run(self) -> None:
        """Open a run, or take up one that was not ended."""
        if self._host.session is not None:
            return
        found = self._host.unfinished.latest()
        if found:
            at = day_time(int(found.stat().st_mtime * 1e9), zone_of(self._host.show))
            self._ask(
                f"A show of {at} was not ended",
                lambda text: self._resume_or_new(found, text),
                "type RESUME to rejoin it where it is, or NEW to open another",
            )
            return
        self._ask_caller()

    def _resume_or_new(self, folder: Path, text: str) -> str | None:
        if text.upper() == "RESUME":
            return self._host.take_up(folder)
        if text.upper() == "NEW":
            self._ask_caller()
            return None
        return "type RESUME or NEW, or press Escape"

    def _ask_caller(self) -> None:
        self._ask(
            "Open the show. Who's calling?", self._ask_live, "your name, then Enter; Escape leaves it closed"
        )

    def _ask_live(self, caller: str) -> str | None:
        if not caller:
            return "type the caller's name, or press Escape"
        self._ask(
            f"{caller} is calling. Live or muted?",
            lambda text: self._open(caller, text),
            "type LIVE to send to every device, or MUTE to rehearse with all outputs muted",
        )
        return None

    def _open(self, caller: str, text: str) -> str | None:
        if text.upper() not in ("LIVE", "MUTE", "MUTED"):
            return "type LIVE or MUTE, or press Escape"
        if text.upper() == "LIVE":
            return self._host.open(caller, muted=False)
        self._ask(
            "Rehearse how?",
            lambda how: self._rehearse(caller, how),
            "Enter: real time, no simulated crew. Or a speed from 0.25 to 8, and CREW for one that answers "
            "late, wrongly or not at all: 2 crew",
        )
        return None

    def _rehearse(self, caller: str, text: str) -> str | None:
        words = text.lower().split()
        crew = None
        if "crew" in words:
            at = words.index("crew")
            seed = words[at + 1] if at + 1 < len(words) else "1"
            if not seed.isdecimal():
                return f"after CREW comes a whole number or nothing, not '{seed}'; type CREW, or CREW 1"
            crew, words = int(seed), words[:at]
        try:
            speed = float(words[0].rstrip("x×").replace(",", ".")) if words else 1.0
        except ValueError:
            return f"'{words[0]}' is not a speed; type one from 0.25 to 8"
        if len(words) > 1 or not 0.25 <= speed <= 8:
            return "type a speed from 0.25 to 8, such as 2, and CREW for a simulated crew"
        return self._host.open(caller, muted=True, speed=speed, crew=crew)

    def end_run(self) -> None:
        """End the run once END was typed."""

        def done(text: str) -> str | None:
            if text.upper() != "END":
                return "type END to end the show, or press Escape"
            self._host.end()
            return None

        self._ask("End this show?", done, "type END; remaining cues will not be called")

    def leave_desk(self, leave: Callable[[], object]) -> None:
        """Leave the desk while a show is in progress once LEAVE was typed."""

        def done(text: str) -> str | None:
            if text.upper() != "LEAVE":
                return "type LEAVE, or press Escape to stay"
            self.leaving = True
            leave()
            return None

        hint = "The engine goes on: automatic cues will fire. A desk opened again rejoins. Type LEAVE."
        self._ask("Leave the desk while the show is in progress?", done, hint)
