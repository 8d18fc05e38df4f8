"""What must be told when other colours are in use."""

from typing import Protocol, runtime_checkable


@runtime_checkable
class Themed(Protocol):
    """A widget with a style sheet or a palette; what is painted asks for its colours every time."""

    def restyle(self) -> None:
        """Take the colours that are in use now."""
