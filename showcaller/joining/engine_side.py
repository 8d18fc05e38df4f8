"""The run that is on at this machine, as its door follows it: to the engine one desk more."""

import contextlib
import secrets
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from showcaller.engine.client import EngineClient
from showcaller.engine.clock import boot_id
from showcaller.engine.held_back import held_back
from showcaller.engine.journal.memory import Kept
from showcaller.engine.launch import engine_lives, open_runs
from showcaller.engine.protocol import JOURNAL_FILE, NoEngine, endpoint_files, read_endpoint
from showcaller.joining.kept_here import KeptRun, read_kept

FIND_S = 0.3
_STAT_S = 0.05
_NEWEST = 8
_ASK_AGAIN_S = 0.3
_RAISED = b'"in":{"kind":"raise_term"'
_RECOVERED = b'"in":{"kind":"recovered"'
_HELD = b'"in":{"kind":"higher_term"'
_HEAD_BYTES = 160
"""The input's kind stands in so many of a record's first bytes."""
_LAST_WORDS = 20
"""Behind the record with which it let go an engine has hardly more to say than what its outlets told."""
NUMBER_AT = len(b'{"seq":')


def number_of(body: bytes) -> int:
    """The number of a record, without reading the rest of it."""
    return int(body[NUMBER_AT : body.index(b",")])


class EngineSide:
    """``hello`` is what the engine has said of itself, None while no run is on; ``log`` all its records."""

    def __init__(self, runs: Path) -> None:
        self._runs = runs
        self._client: EngineClient | None = None
        self._looked_s = self._asked_s = self._stat_s = -1e9
        self._mark: list[tuple[int, int]] = []
        self._answers: dict[tuple[int, int], dict[str, Any]] = {}
        self.turn = 0
        """Another with every engine that is spoken to."""
        self._news: list[bytes] = []
        self.folder: Path | None = None
        self.hello: dict[str, Any] | None = None
        self.show = ""
        self.log = Kept()
        self.raised_at = 0
        """The number of the first record of this engine since it took over; 0 if it did not."""
        self._recovered_at = 0
        self._read: set[tuple[object, ...]] = set()
        self.log_id = ""
        """Another whenever the log is another's."""

    @property
    def is_here(self) -> bool:
        """Whether an engine is spoken to."""
        return self._client is not None

    @property
    def quiet_s(self) -> float:
        """How long the engine has not been heard."""
        return 0.0 if self._client is None else time.monotonic() - self._client.last_beat

    @property
    def unkept(self) -> str:
        """Why the engine cannot keep its log; empty while it can."""
        return "" if self._client is None else self._client.unkept

    @property
    def is_whole(self) -> bool:
        """Whether all that the engine had done when it was found is in the log here."""
        return self.hello is not None and len(self.log) >= int(self.hello["seq"])

    def sockets(self) -> tuple[Any, ...]:
        """To be polled."""
        return () if self._client is None else self._client.sockets()

    def poll(self) -> list[bytes]:
        """Take in what has come; the records that are new."""
        now_s = time.monotonic()
        if self._is_another(now_s):
            self.look_again()
        if self._client is None or self.quiet_s > 0.6 or self._looked_s < 0:
            self._look(now_s)
        if self._client is not None:
            self._hear(self._client, now_s)
        news, self._news = self._news, []
        self.log.compact()
        return news

    def _hear(self, client: EngineClient, now_s: float) -> None:
        for body in client.bodies():
            self._add(body)
        for answer in client.answers():
            if "records" in answer:
                for text in answer["records"]:
                    self._add(text.encode())
            else:
                self._answers[self.turn, int(answer.get("id") or 0)] = answer
        if client.engine_seq > len(self.log) and now_s - self._asked_s > _ASK_AGAIN_S:
            self._ask_log(now_s)

    def look_again(self) -> None:
        """An engine may have begun here: look for it at once."""
        self._looked_s = -1e9

    def _is_another(self, now_s: float) -> bool:
        """Whether an engine has begun here since this one was found: its connection tells nothing of that."""
        if now_s - self._stat_s < _STAT_S or self.folder is None:
            return False
        self._stat_s, before = now_s, self._mark
        self._mark = _mark_of(self.folder)
        return self._mark != before

    def _ask_log(self, now_s: float) -> None:
        self._asked_s = now_s
        assert self._client is not None
        with contextlib.suppress(NoEngine):
            self._client.post({"kind": "log", "from": len(self.log) + 1})

    def _add(self, body: bytes) -> None:
        number = number_of(body)
        if number == len(self.log) + 1:
            if _RECOVERED in body[:_HEAD_BYTES]:
                self._recovered_at = number
            elif _RAISED in body[:_HEAD_BYTES]:  # just behind the record with which it took up the log
                self.raised_at = number - (self._recovered_at == number - 1)
            self.log.append(body)
            self._news.append(body)
        elif number > len(self.log) + 1:
            self._asked_s = min(self._asked_s, time.monotonic() - _ASK_AGAIN_S + 0.05)

    def answers(self) -> dict[tuple[int, int], dict[str, Any]]:
        """What the engine has answered, by the numbers of :meth:`forward`."""
        found, self._answers = self._answers, {}
        return found

    def forward(self, do: Mapping[str, Any], **about: Any) -> tuple[int, int] | None:
        """Hand the engine a request; its number, None where there is no engine to take it."""
        if self._client is None:
            return None
        try:
            return self.turn, self._client.post(do, **about)
        except NoEngine:
            return None

    def _look(self, now_s: float) -> None:
        """Find the run that is on; the same again after its engine was started anew."""
        if now_s - self._looked_s < FIND_S:
            return
        self._looked_s = now_s
        found = open_runs(self._runs)[-_NEWEST:]
        folder = next((f for f in reversed(found) if _is_ours(f)), None)
        if folder is None:
            self._look_into(found[-1:])
            return
        endpoint = read_endpoint(folder)
        if self._client is not None and endpoint is not None and endpoint["pid"] == self._client.pid:
            return  # it is there, and does not answer
        try:
            client = EngineClient(folder)
            hello = client.ask("hello", timeout_s=0.5)
            if not self._is_same(client, hello):
                self._begin(str(client.ask("show", timeout_s=1.0)["show"]))
        except NoEngine:
            return
        self.leave()
        self.turn += 1
        self._client, self.hello, self.folder = client, hello, folder
        self._mark = _mark_of(folder)
        self._ask_log(now_s)

    def _is_same(self, client: EngineClient, hello: dict[str, Any]) -> bool:
        """Whether the log that is kept here is the beginning of this engine's."""
        if self.hello is None or hello["run"] != self.hello["run"] or hello["seq"] < len(self.log):
            return False
        if not len(self.log):
            return True
        there = client.ask("log", timeout_s=1.0, **{"from": len(self.log)})["records"]
        return [text.encode() for text in there[:1]] == self.log.slice(len(self.log) - 1, 1)

    def know(self, folder: Path) -> bool:
        """Have what is known of a run of this machine, whatever has begun or ended a moment ago: its engine
        if one lives, else all that one kept. False where there is no such run, or another machine has it."""
        if held_back(folder, time.time()) or not (folder / JOURNAL_FILE).exists():
            return False
        if not _is_ours(folder):
            return self.read_on(folder)
        endpoint = read_endpoint(folder)
        if self._client is None or endpoint is None or endpoint["pid"] != self._client.pid:
            self.look_again()
            self._look(time.monotonic())
        return self.is_here

    def _look_into(self, newest: list[Path]) -> None:
        """No engine lives here. What the last one did is told all the same, once for each that there was, if
        its show is still on: it has run since the machine was switched on, and was not ended."""
        for folder in newest:
            engine = str(folder), *_mark_of(folder)
            if engine in self._read or held_back(folder, time.time()):
                continue
            self._read.add(engine)
            kept = read_kept(folder)
            if kept is not None and (folder == self.folder or (kept.boot == boot_id() and not kept.ended)):
                self._take(folder, kept)

    def read_on(self, folder: Path) -> bool:
        """No engine runs in ``folder``: all that one did is in its journal, and here from now on, also what
        it told nobody. Whether it could be read."""
        kept = read_kept(folder)
        if kept is not None:
            self._take(folder, kept)
        return kept is not None

    def _take(self, folder: Path, kept: KeptRun) -> None:
        self.leave()
        both = min(len(self.log), len(kept.records))  # one that is just being begun again may be read in part
        same = self.hello is not None and self.hello["run"] == kept.hello["run"]
        if not same or not both or kept.records.slice(both - 1, 1) != self.log.slice(both - 1, 1):
            self._begin(kept.show)
        for body in kept.records.slice(len(self.log), len(kept.records)):
            self._add(body)
        self.hello, self.folder = kept.hello, folder

    def _begin(self, show: str) -> None:
        """Another log than the one here, from its first record on."""
        self.log, self.log_id, self.show = Kept(), secrets.token_hex(4), show
        self.raised_at = self._recovered_at = 0
        self._news.clear()

    @property
    def has_let_go(self) -> bool:
        """Whether the last thing that the engine did was to let go of the run."""
        for body in reversed(self.log.slice(len(self.log) - _LAST_WORDS, _LAST_WORDS)):
            if _HELD in body[:_HEAD_BYTES]:
                return True
            if _RECOVERED in body[:_HEAD_BYTES]:  # it has begun since
                break
        return False

    def leave(self) -> None:
        """Let go of the engine; what is known of its run stays."""
        if self._client is not None:
            self._client.close()
            self._client = None


def _is_ours(folder: Path) -> bool:
    """Whether an engine of this machine runs it: one that is only followed here has its engine elsewhere."""
    endpoint = read_endpoint(folder)
    return endpoint is not None and "as" not in endpoint and engine_lives(folder)


def _mark_of(folder: Path) -> list[tuple[int, int]]:
    """Another once another engine has written where it is to be found."""
    found = []
    for path in endpoint_files(folder):
        with contextlib.suppress(OSError):
            stat = path.stat()
            found.append((stat.st_ino, stat.st_mtime_ns))
    return found
