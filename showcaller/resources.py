"""Where the files that are not code lie: beside the package when installed, in the repository otherwise."""

from pathlib import Path

_PACKAGE = Path(__file__).parent


def resource(*parts: str) -> Path:
    """A file under ``resources/``."""
    return _root("resources").joinpath(*parts)


def sample(*parts: str) -> Path:
    """A file under ``sample_shows/``."""
    return _root("sample_shows").joinpath(*parts)


def _root(name: str) -> Path:
    installed = _PACKAGE / name
    return installed if installed.is_dir() else _PACKAGE.parent / name
