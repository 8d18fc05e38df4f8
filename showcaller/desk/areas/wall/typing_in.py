"""Typing in place: a layer's fields at the side, the templates of what is sent."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.desk.areas.wall.editing import SEND_HINT, send_text
from showcaller.desk.qt import QRectF

if TYPE_CHECKING:
    from showcaller.desk.areas.wall.area import WallArea


class WallTyping:
    """Opens the area's line over what is typed into. Tab goes on to the next field, or template."""

    def __init__(self, area: WallArea) -> None:
        self._area = area

    def open(self, key: str) -> None:
        """Type into a field of the chosen layer, or into a template (``send`` and its id)."""
        area = self._area
        boxes = dict(area.places.fields)
        if key not in boxes or not area.screen_.editable:
            return
        if key.startswith("send "):
            self._open_send(key.removeprefix("send "), boxes[key])
            return
        field = next((f for f in area.fields if f.key == key), None)
        if field is None:
            return
        keys = [f.key for f in area.fields]

        def step(by: int) -> None:
            self.open(keys[(keys.index(key) + by) % len(keys)])

        def commit(text: str) -> str | None:
            return area.attempt(lambda: area.acts.type_into(key, text)) if text != field.text else None

        area.field.open(boxes[key], field.label, field.text, commit, step, lambda _: field.hint)

    def _open_send(self, ident: str, box: QRectF) -> None:
        """Type into a template; an empty one is taken out."""
        acts = self._area.acts
        n = next(n for n, s in enumerate(acts.show.sends) if s.id == ident)
        was = send_text(acts.show.sends[n])

        def commit(text: str) -> str | None:
            return self._area.attempt(lambda: acts.change_send(n, text)) if text != was else None

        def step(by: int) -> None:
            sends = acts.show.sends
            if sends:
                self.open(f"send {sends[(n + by) % len(sends)].id}")

        self._area.field.open(box, "template", was, commit, step, lambda _: SEND_HINT)
