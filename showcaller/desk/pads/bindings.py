"""What a pad or a fader does, for every controller by its name: ``controllers.json``. Pure but for the file.

::

    {"Pads": {"lights": {"on": 127, "next": 64, "off": 0},
              "bound": [{"message": "note", "channel": 1, "number": 36, "does": "tile 3"},
                        {"message": "control", "channel": 1, "number": 7, "does": "opacity"}]}}
"""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from showcaller.desk.pads.control import Control
from showcaller.values import Struct, field, replace

FILE = "controllers.json"
PLACES = 21
"""Tiles of a page of the grid."""

FADERS = ("opacity", "amount")
BUTTONS = ("next", "take", "page")
"""Beside tiles: while ``next`` is held a tile's pad makes it next; take what is next; the next page."""

TILES = tuple(f"tile {n}" for n in range(1, PLACES + 1))


class BindingError(ValueError):
    """What cannot be bound or read; one sentence."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Lights(_Strict):
    """The velocities of a pad's light: its look is on, is next, or neither."""

    on: Annotated[int, Field(ge=0, le=127)] = 127
    next: Annotated[int, Field(ge=0, le=127)] = 64
    off: Annotated[int, Field(ge=0, le=127)] = 0


class Bound(_Strict):
    """A control and what it does."""

    message: Literal["note", "control"]
    channel: Annotated[int, Field(ge=1, le=16)]
    number: Annotated[int, Field(ge=0, le=127)]
    does: str

    @field_validator("does")
    @classmethod
    def _known(cls, value: str) -> str:
        if value not in (*TILES, *FADERS, *BUTTONS):
            raise ValueError(f"tile 1 to tile {PLACES}, {', '.join((*FADERS, *BUTTONS))}")
        return value

    @property
    def control(self) -> Control:
        """The control alone."""
        return Control(self.message, self.channel, self.number)


class _Controller(_Strict):
    lights: Lights = Lights()
    bound: tuple[Bound, ...] = ()


class Controller(Struct, frozen=True):
    """A controller's lights, and what each control does."""

    lights: Lights = field(default_factory=Lights)
    does: Mapping[Control, str] = field(default_factory=dict)


Controllers = Mapping[str, Controller]
"""By the name of the port."""


def bind(controllers: Controllers, name: str, control: Control, does: str) -> Controllers:
    """The same with a control bound; whatever else did this at that controller does it no more.

    Raises:
        BindingError: the control does something else, or is a pad where a fader is needed.
    """
    now = controllers.get(name, Controller())
    has = now.does.get(control)
    if has is not None and has != does:
        raise BindingError(
            f"{control.words} of “{name}” is {has} already: remove that first, or touch another"
        )
    if does in FADERS and control.message != "control":
        raise BindingError(
            f"{does} needs a fader or a knob, which sends control changes; that was {control.words}"
        )
    kept = {c: d for c, d in now.does.items() if d != does}
    return {**controllers, name: replace(now, does={**kept, control: does})}


def unbind(controllers: Controllers, name: str, control: Control) -> Controllers:
    """The same without what a control does; a controller with nothing bound is forgotten."""
    now = controllers[name]
    kept = {c: d for c, d in now.does.items() if c != control}
    others = {n: c for n, c in controllers.items() if n != name}
    return {**controllers, name: replace(now, does=kept)} if kept else others


def listed(controllers: Controllers) -> tuple[tuple[str, Control, str], ...]:
    """(controller, control, what it does), in an order that stays."""
    order = {does: n for n, does in enumerate((*TILES, *FADERS, *BUTTONS))}
    return tuple(
        (name, control, does)
        for name in sorted(controllers)
        for control, does in sorted(controllers[name].does.items(), key=lambda p: order[p[1]])
    )


def read_controllers(path: Path) -> Controllers:
    """What is kept; nothing where there is no file.

    Raises:
        BindingError: it cannot be read, or a control is bound twice. Nothing of it is used, and it is left
            as it is.
    """
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        raise BindingError(f"{path} cannot be read ({error}); mend it, or move it away") from None
    if not isinstance(data, dict):
        raise BindingError(f'{path} must hold {{"controller": {{"bound": []}}}}; mend it, or move it away')
    return {str(name): _controller(path, str(name), value) for name, value in data.items()}


def _controller(path: Path, name: str, value: object) -> Controller:
    try:
        found = _Controller.model_validate(value)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "controller"
        raise BindingError(
            f"{path}: {where} of “{name}” will not do, {str(first.get('input'))[:30]!r}: {first['msg']}"
        ) from None
    does: dict[Control, str] = {}
    for one in found.bound:
        if does.setdefault(one.control, one.does) != one.does:
            raise BindingError(
                f"{path}: {one.control.words} of “{name}” does both {does[one.control]} and {one.does}; "
                "take one of them out"
            )
    return Controller(found.lights, does)


def write_controllers(path: Path, controllers: Controllers) -> None:
    """Keep them.

    Raises:
        BindingError: the file cannot be written.
    """
    data = {
        name: _Controller(
            lights=one.lights,
            bound=tuple(
                Bound(message=c.message, channel=c.channel, number=c.number, does=d)
                for c, d in one.does.items()
            ),
        ).model_dump(mode="json")
        for name, one in controllers.items()
    }
    made = path.with_suffix(".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        made.write_text(json.dumps(data, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
        made.replace(path)
    except OSError as error:
        raise BindingError(
            f"{path} cannot be written ({error}); it counts until the desk is closed"
        ) from None
