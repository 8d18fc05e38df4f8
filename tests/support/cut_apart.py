"""Two engines, three desks, a network that is cut at random; an account of every message beside the log."""

import contextlib
import json
import random
import re
import threading
import time
from collections import Counter, defaultdict

from boxes import Box, in_step, wait
from small_shows import cue, document, item
from wires import DEVICE, Wires

from showcaller.engine.held_back import held_back
from showcaller.engine.protocol import NoEngine
from showcaller.engine.standing import Standing
from showcaller.joining.errors import JoinError
from showcaller.model import parse_show
from showcaller.run import events as ev
from showcaller.run.commands import Go, HeardApart
from showcaller.run.compiled import compile_show
from showcaller.run.runlog import Record
from showcaller.timing.plan import compile_plan

HEARS_S = 1.2
"""So long after the network between two machines is healed, the one with the lower term has let go, ..."""
HOLDS_S = 0.3
"""... and so long after either has heard the other, as their own logs have it, whichever comes first, ..."""
TOLD_S = 0.7
"""... and after so long it is known at the one that counts which gos the other gave alone: nobody gives them
again."""
READS_S = 1.0
"""So long after an engine's end its door has read what it kept and told it."""
ENGINES = ("front", "back")


_NOTED = re.compile(r"\S+ \S+ (\d+\.\d{3}) (.*)")
"""A door's note: the day and its time, the monotonic clock, words."""


def long_show(gos, automatic, every_s):
    """Cues with a message each: ``gos`` are called, the others are automatic, one every ``every_s``."""

    def sends(name):
        return [{"kind": "osc", "outlet": "u", "address": f"/{name}", "args": []}]

    cues = [cue(f"g{n}", str(n + 1), 1.0 + n * 0.01, messages=sends(f"g{n}")) for n in range(gos)]
    cues += [
        cue(f"a{n}", str(gos + n + 1), round(1 + n * every_s, 3), fires="by itself", messages=sends(f"a{n}"))
        for n in range(automatic)
    ]
    outlets = [{"kind": "osc_udp", "id": "u", "name": "U", "host": DEVICE, "port": 9000}]
    length_s = 1 + automatic * every_s + 600
    return document([item("s", length_s, cues)], outlets=outlets, curfew="23:00")


class CutApart:
    """``play`` is one random sequence; afterwards everything is healed and looked at. ``account`` counts."""

    def __init__(self, root, seed, gos=2000, automatic=8000, every_s=0.5):
        self.random = random.Random(seed)
        self.wires = Wires(["front", "back", "side", "stage"], seed)
        self.boxes = {
            name: Box(root, name, self.wires.namespaces[name], self.wires.addresses[name])
            for name in self.wires.addresses
        }
        front, show = self.boxes["front"], long_show(gos, automatic, every_s)
        self.account = Counter()
        self.took_s = defaultdict(list)
        self.acked_gos, self.acked_notes = set(), set()
        self.faults = []
        self.deaths = []
        """(monotonic s, machine, whether all of it died or the engine alone)"""
        self._note = 0
        self._compiled = compile_show(compile_plan(parse_show(json.dumps(show))))
        self._bodies, self._standing = [], Standing(self._compiled)
        self._seen_twice = set()
        front.open_show(show)
        front.open_door()
        for name, seat in (("back", "engine"), ("side", "caller"), ("stage", "watcher")):
            front.let_in(self.boxes[name], seat)
        for name in ("back", "side", "stage"):
            wait(self.follows(name), f"{name} does not follow", 20)
        wait(lambda: self.boxes["back"].door().get("guests"), "the second machine has no door", 20)
        wait(lambda: all(g["here"] for g in front.door()["guests"]), "", 20)
        self.ask("front", "start", caller="Ines", desk=front.desk)
        self.go("front")
        self._ended = threading.Event()
        threading.Thread(target=self._watch, daemon=True).start()
        wait(lambda: in_step(*self.boxes.values()), "", 20)

    def follows(self, name):
        box = self.boxes[name]
        return lambda: bool((told := box.link()) and told["live"] and told["behind"] == 0)

    @property
    def firing(self):
        return [name for name in ENGINES if self.boxes[name].fires]

    # --- what people do ---

    def ask(self, name, kind, **fields):
        """A command of the desk at a machine; whether it was told that it is done."""
        try:
            with self.boxes[name].client() as client:
                return bool(client.ask(kind, timeout_s=1.0, **fields)["ok"])
        except (NoEngine, OSError, KeyError, ValueError):
            return False

    def go(self, name):
        """The next go, as the desk there sees it; one that does not have the calls takes them first."""
        try:
            desk = self.boxes[name].desk
            with self.boxes[name].client(desk) as client:
                seen = self._next_go(client)
                told = client.ask("go", timeout_s=1.0, go=seen) if seen is not None else {"ok": False}
                if "has the calls" in (told.get("say") or ""):
                    client.ask("take_calls", timeout_s=1.0, desk=desk, caller=name, reason="a test")
                    told = client.ask("go", timeout_s=1.0, go=seen)
                if told["ok"]:
                    self.acked_gos.add(seen)
                    self.account["gos told done"] += 1
        except (NoEngine, OSError, KeyError, ValueError):
            self.account["gos not told done"] += 1

    def _next_go(self, client):
        """The next go by the log that is read at a machine, put through the run's own step."""
        while True:
            answer = client.ask("log", timeout_s=1.0, **{"from": max(1, len(self._bodies))})
            bodies = answer["records"]
            if self._bodies and bodies[:1] != self._bodies[-1:]:  # another engine's
                self._bodies, self._standing = [], Standing(self._compiled)
                continue
            fresh = bodies[1:] if self._bodies else bodies
            for body in fresh:
                record = Record.without_events(body)
                self._standing.replay(record.input, record.t_ns)
            self._bodies += fresh
            if not fresh:
                break
        state = self._standing.state
        items = self._compiled.items
        return items[state.place.item].go_ids[state.place.go] if state.place.item < len(items) else None

    def note(self, name):
        self._note += 1
        text = f"note {self._note}"
        if self.ask(name, "note", text=text):
            self.acked_notes.add(text)
            self.account["notes told done"] += 1

    # --- what happens to machines ---

    def kill_engine(self):
        """An engine dies; its desk starts it again, unless another machine has the run."""
        for name in self.firing[:1]:
            self.account["engines killed"] += 1
            self.boxes[name].kill_engine()
            self.deaths.append((time.monotonic(), name, False))
            time.sleep(self.random.random())
            self.rejoin(name)

    def pull_plug(self):
        """Everything on a machine dies; after a while it is switched on again."""
        name = self.random.choice(ENGINES)
        self.account["plugs pulled"] += 1
        self.boxes[name].kill()
        self.deaths.append((time.monotonic(), name, True))
        if self.random.random() < 0.6 and name in ENGINES:
            time.sleep(1.0)
            self.take_over("back" if name == "front" else "front")
        self.switch_on(name)

    def switch_on(self, name):
        box = self.boxes[name]
        box.open_door()
        until_s = time.monotonic() + 2.5  # a desk asks the others first, for so long
        while time.monotonic() < until_s and not box.door().get("others_told"):
            time.sleep(0.05)
        time.sleep(0.1)
        self.rejoin(name)

    def rejoin(self, name):
        """What the desk of a machine does whose engine is gone."""
        box = self.boxes[name]
        if box.fires or held_back(box.folder, time.time()) or box.link():
            return
        with contextlib.suppress(AssertionError):  # another has become quicker
            box.start_engine()

    def take_over(self, name=None):
        """Somebody takes over at a machine that follows."""
        waiting = [
            n for n in ENGINES if not self.boxes[n].fires and self.boxes[n].link().get("can_take_over")
        ]
        name = name or (self.random.choice(waiting) if waiting else None)
        if name not in waiting:
            return
        silent = not self.boxes[name].link().get("live")
        began_s = time.monotonic()
        try:
            self.boxes[name].take_over()
            wait(lambda: self.boxes[name].fires or not self.boxes[name].link().get("taking"), "", 15)
        except (JoinError, AssertionError):
            return
        if self.boxes[name].fires:
            self.took_s["from a silent one" if silent else "handed over"].append(time.monotonic() - began_s)
            self.account["taken over from a silent one" if silent else "handed over"] += 1

    def cut(self):
        self.account["cuts"] += 1
        self.wires.cut("front", "back")

    def split(self):
        self.account["splits"] += 1
        for one in ("front", "side"):
            for other in ("back", "stage"):
                self.wires.cut(one, other)

    def heal(self):
        self.wires.heal()

    def play(self, steps=5):
        """One sequence, the healing after it, and the look at what came of it."""
        acts = (
            self.kill_engine, self.pull_plug, self.cut, self.split, self.split, self.heal, self.take_over,
            self.take_over, lambda: time.sleep(self.random.random()),
        )  # fmt: skip
        for _ in range(steps):
            self.random.choice(acts)()
            for name in self.random.sample(("front", "back", "side"), 2):
                self.random.choice((self.go, self.note))(name)
        self.settle()

    def settle(self):
        """Heal, and wait until one fires and all others follow."""
        self.heal()
        began_s = time.monotonic()
        names = list(self.boxes)

        def settled():
            firing = self.firing
            rest = [n for n in names if n not in firing]
            return len(firing) == 1 and all(self.follows(n)() for n in rest) and in_step(*self.boxes.values())

        if not self.firing:
            time.sleep(1.5)
            for name in ENGINES:
                if not self.firing:
                    self.rejoin(name)
            if not self.firing:
                self.take_over()
        try:
            wait(settled, "", 30)
            wait(lambda: all(not self.boxes[n].link().get("untold") for n in ENGINES), "", 10)
            wait(settled, "", 10)
        except AssertionError:
            self.faults.append(f"not settled: {self.how()}")
            return
        self.took_s["settled after the healing"].append(time.monotonic() - began_s)
        self.account["sequences"] += 1
        self.check()

    def how(self):
        """How it stands, for whoever looks into a fault."""
        found, first = {}, None
        for name, box in self.boxes.items():
            link, door = box.link(), box.door()
            found[name] = {
                k: link.get(k) for k in ("door", "has", "behind", "live", "term", "trouble", "untold")
            }
            found[name] |= {
                "fires": box.fires,
                "moved": door.get("moved"),
                "held": held_back(box.folder, time.time()),
            }
            try:
                with box.client() as client:
                    log = [r.to_bytes() for r in client.log()]
            except (NoEngine, OSError, ValueError) as error:
                found[name]["log"] = str(error)
                continue
            first = first or log
            differs = [n for n, pair in enumerate(zip(log, first, strict=False)) if pair[0] != pair[1]][:1]
            found[name]["log"] = (len(log), differs and (log[differs[0]][:200], first[differs[0]][:200]))
        return found

    # --- what must hold ---

    def _watch(self):
        """Never do two fire, nor have the calls, once they have heard each other for a while."""
        linked_s = time.monotonic()
        while not self._ended.wait(0.1):
            now_s = time.monotonic()
            apart = [end for _, end in self.wires.spans(*ENGINES)]
            linked_s = max([linked_s, *apart])
            if now_s - linked_s > HEARS_S and len(self.firing) > 1 and not self.wires.cuts:
                began_s = now_s
                while len(self.firing) > 1 and time.monotonic() - began_s < HEARS_S:
                    time.sleep(0.05)  # one may have been switched on just now
                if len(self.firing) > 1 and not self.wires.cuts:
                    self.faults.append(f"two fire, {time.monotonic() - linked_s:.1f} s after the healing")
                    return

    def check(self):
        name, heard = self.firing[0], list(self.wires.heard)  # before the log, which has all that has left
        with self.boxes[name].client() as client:
            records = client.log()
        events = [e for r in records for e in r.events]
        fired = {e.cue for e in events if isinstance(e, ev.Fired)}
        apart = {cue for e in events if isinstance(e, ev.ApartHeard) for cue in (*e.cues, *e.twice)}
        doubtful = {cue for e in events if isinstance(e, ev.CuesDoubtful) for cue in e.cues}
        notes = {e.text for e in events if isinstance(e, ev.NoteTaken)}
        gone = {r.input.go for r in records if isinstance(r.input, Go)}
        gone |= {e.go for r in records if isinstance(r.input, HeardApart)
                 for _, told in r.input.heard or () for e in told if isinstance(e, ev.Fired)}  # fmt: skip
        if any(e.kind == "item_started" for r in records if isinstance(r.input, HeardApart)
               for _, told in r.input.heard or () for e in told):  # fmt: skip
            gone.add("s:start")
        lost = sorted(self.acked_gos - gone)
        if lost:
            self.faults.append(f"gos told done and lost: {lost}")
        if self.acked_notes - notes:
            self.faults.append(f"notes told done and lost: {sorted(self.acked_notes - notes)}")
        times = defaultdict(list)
        for at_s, who, address in heard:
            times[address.lstrip("/")].append((at_s, who))
        unnamed = [c for c in times if c not in fired | apart | doubtful]
        if unnamed:
            self.faults.append(f"left and nowhere in the log: {unnamed}")
        self.account["messages"] = len(heard)
        self.account["twice, while apart"] = sum(1 for sent in times.values() if len(sent) > 1)
        for sent_twice in (c for c, sent in times.items() if len(sent) > 1 and c not in self._seen_twice):
            self._seen_twice.add(sent_twice)
            (first_s, first), (at_s, who) = times[sent_twice][:2]
            alone = len({who for _, who in times[sent_twice]}) == 1
            if not alone and self._dead_then(first, first_s, at_s):
                self.account["twice, the first engine dead before it was followed"] += 1
            elif alone or not self._apart_then(at_s, sent_twice.startswith("g")):
                self.faults.append(
                    f"twice from engines that heard each other: {sent_twice} {times[sent_twice]}; "
                    f"cut {self.wires.spans(*ENGINES)[-4:]}; {self.said(at_s - 8, at_s + 3)}"
                )
        self.account["in doubt"] = len(doubtful)
        calling = [e.desk for e in events if isinstance(e, ev.CallsWith)]
        self.account["calls changed hands"] = len(calling)

    def _apart_then(self, at_s, called):
        within_s = TOLD_S if called else HOLDS_S
        heard = [t_s for _, t_s, words in self.noted() if "is heard again" in words]
        for begin, end in self.wires.spans(*ENGINES):
            knew_s = min((t_s for t_s in heard if t_s >= end), default=end + HEARS_S)
            if begin <= at_s <= min(knew_s + within_s, end + HEARS_S):
                return True
        return False

    def _dead_then(self, name, since_s, at_s):
        """Whether what a machine had sent could not be known elsewhere because it was dead. If its door lives
        that has read what its engine kept soon after; else a new one, once it is heard again."""
        for died_s, who, whole in self.deaths:
            if who == name and since_s - 0.5 < died_s < at_s:
                back_s = [
                    t_s for where, t_s, words in self.noted() if t_s > died_s and " is heard " in words
                    and (where == name or words.startswith(f"{name} "))
                ]  # fmt: skip
                told_s = min(back_s, default=at_s) + TOLD_S if whole else died_s + READS_S
                if at_s <= told_s:
                    return True
        return False

    def noted(self):
        """(machine, monotonic s, words): what the doors of the two engines have noted, in its order."""
        found = []
        for name in ENGINES:
            box = self.boxes[name]
            for path in (box.root / "said.txt", box.runs / "joining.log"):
                with contextlib.suppress(OSError):
                    matches = map(_NOTED.match, path.read_text(errors="replace").splitlines())
                    found += [(name, float(match[1]), match[2]) for match in matches if match is not None]
        return sorted(found, key=lambda one: one[1])

    def said(self, from_s, to_s):
        """The same between two instants, for whoever looks into a fault."""
        return [one for one in self.noted() if from_s <= one[1] <= to_s]

    def hears_again_s(self):
        """After each healing, in how many s the first of the two engines' machines heard the other."""
        heard = [t_s for _, t_s, words in self.noted() if "is heard again" in words]
        for _, end in self.wires.spans(*ENGINES):
            yield from (
                [min(t_s - end for t_s in heard if t_s >= end)]
                if any(0 <= t_s - end < HEARS_S for t_s in heard)
                else []
            )

    def close(self):
        self._ended.set()
        for box in self.boxes.values():
            box.close()
        self.wires.close()
