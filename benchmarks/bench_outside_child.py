"""The child's part of bench_outside.py."""


def nothing(_within: object) -> None:
    """Read nothing."""
