"""Two editions of a show side by side, told as a note to the crew, and any of it brought back."""

from showcaller.editing.comparing.compare import Comparison, Note, compare

__all__ = ["Comparison", "Note", "compare"]
