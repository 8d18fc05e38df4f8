"""Where changes go while a show is on: to the book, for the next one, or to the show itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.wording import plural
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.keys import Keys
from showcaller.desk.said import FootWords

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


def turn(store: DocumentStore, session: RunSession | None, said: FootWords, keys: Keys) -> None:
    """From the one to the other."""
    key = keys["book.tonight"]
    if store.tonight is not None:
        store.change_tonight(None)
        said.say(f"changes go to the book again, for the next show; {key}: to the show that is on")
    elif session is None or session.book.state.phase not in ("running", "held"):
        said.say(f"no show is on, so changes go to the book; {key} is for while one is", "caution")
    else:
        store.change_tonight(session)
        words = "what is changed here now changes tonight's show, at once"
        said.say(f"{words}; {key}: back to the book", "caution")


def follow(store: DocumentStore, session: RunSession | None, said: FootWords) -> None:
    """What has come of changes; with the show's end they go to the book again."""
    refused = store.look()
    if refused is not None:
        said.say(refused, "caution")
    if store.tonight is not None and (session is None or session.book.state.phase == "ended"):
        store.change_tonight(None)


def after(changes: int, said: FootWords, keys: Keys) -> None:
    """The show is over: what was changed in it is offered to the book."""
    if changes:
        words = f"{plural(changes, 'change was', 'changes were')} made in the show"
        them = "it" if changes == 1 else "them"
        said.say(f"{words}; {keys['book.changes']}: apply {them} to the book", "caution", keep=True)
