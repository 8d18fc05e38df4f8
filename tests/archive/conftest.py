"""A small show, the records of a short run, and tours on every database that is to be had."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from showcaller.archive.tour import Tour
from showcaller.model import Show


@pytest.fixture
def show() -> Show:
    return Show.model_validate(
        {
            "format": "showcaller/show", "version": 1, "id": "pier", "name": "Pier", "act": "Wren Halloway",
            "venue": "Kestrel Dock Arena", "starts_at": "20:45",
            "departments": [
                {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"}
            ],
            "items": [{"kind": "talk", "id": "hello", "name": "Hello – ünd", "length_s": 60, "cues": []}],
        }
    )  # fmt: skip


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.system)])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An address where a tour can be made, on each database."""
    if request.param == "sqlite":
        return str(tmp_path / "summer.tour")
    address: str = request.getfixturevalue("postgres")()
    return address


@pytest.fixture
def tour(where: str) -> Iterator[Tour]:
    with Tour.create(where, "Summer") as made:
        yield made


@pytest.fixture
def tour_file(tmp_path: Path) -> Path:
    """A tour in a file, closed."""
    path = tmp_path / "file.tour"
    Tour.create(path, "Summer").close()
    return path
