"""Buffers that are made once and used again, so that a frame costs no memory."""

from math import prod
from typing import Any

import numpy as np

Pixels = np.ndarray[Any, np.dtype[np.uint8]]
Weights = np.ndarray[Any, np.dtype[np.float32]]


class Pool:
    """Named scratch memory. The same name asked for again is the same memory, whatever shape it takes."""

    def __init__(self) -> None:
        self._bytes: dict[str, np.ndarray[Any, np.dtype[np.uint8]]] = {}

    def pixels(self, name: str, *shape: int) -> Pixels:
        """Unsigned 8-bit numbers of this shape; what is in them is left over."""
        return self._taken(name, prod(shape)).reshape(shape)

    def weights(self, name: str, *shape: int) -> Weights:
        """32-bit floats of this shape; what is in them is left over."""
        return self._taken(name, 4 * prod(shape)).view(np.float32).reshape(shape)

    def _taken(self, name: str, size: int) -> np.ndarray[Any, np.dtype[np.uint8]]:
        kept = self._bytes.get(name)
        if kept is None or kept.size < size:
            # A quarter more than asked, so that a layer that grows every frame does not ask every frame.
            kept = self._bytes[name] = np.empty((size + size // 4 + 63) // 64 * 64, np.uint8)
        return kept[:size]

    @property
    def size(self) -> int:
        """Bytes held."""
        return sum(b.size for b in self._bytes.values())
