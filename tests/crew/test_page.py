"""A page that does not take what it is sent costs no more than one message of each kind, and is dropped."""

import asyncio
import logging

import pytest
from aiohttp import WSMessage, WSMsgType

from showcaller.crew import page as page_module
from showcaller.crew.page import CrewPage


class Stuck:
    """A socket whose other end reads nothing: sending never ends."""

    def __init__(self) -> None:
        self.sending: list[str] = []

    async def send_str(self, text: str) -> None:
        self.sending.append(text)
        await asyncio.Event().wait()

    async def receive(self, _timeout: float) -> WSMessage:
        await asyncio.Event().wait()
        return WSMessage(WSMsgType.CLOSED, None, None)


class Line(asyncio.Transport):
    """Knows whether it was cut."""

    cut: asyncio.Event

    def abort(self) -> None:
        self.cut.set()


def test_a_slow_reader_is_dropped_and_what_waits_for_it_stays_small(monkeypatch, caplog):
    monkeypatch.setattr(page_module, "SLOW_AFTER_S", 0.1)

    async def story() -> None:
        socket, line = Stuck(), Line()
        line.cut = asyncio.Event()
        page = CrewPage(socket, line, "Lights · Kim", lambda n: {"n": n}, lambda *_: None)
        running = asyncio.create_task(page.run())
        for n in range(5000):
            page.tell("state", f"{n}" * 100)
            page.tell("sheet", f"{n}" * 100)
            if n == 10:
                await asyncio.sleep(0)
        assert len(page._waiting) <= 2
        await asyncio.wait_for(line.cut.wait(), 5)
        running.cancel()
        await asyncio.gather(running, return_exceptions=True)
        assert len(socket.sending) == 1

    with caplog.at_level(logging.WARNING):
        asyncio.run(story())
    assert caplog.messages == ["Lights · Kim does not take what it is sent: disconnected"]


@pytest.mark.parametrize("said", ["[]", "{}", '{"k": "here", "n": true}', "\x00", '{"k": "here", "n": "1"}'])
def test_what_is_no_message_is_not_taken(said):
    async def story() -> bool:
        page = CrewPage(Stuck(), None, "x", lambda n: {"n": n}, lambda *_: None)
        return page._take(said)

    assert not asyncio.run(story())
