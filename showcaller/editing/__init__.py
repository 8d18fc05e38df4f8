"""Changing a show: edits as values with inverses, and everything that makes them."""

from showcaller.editing.changes import Change, ChangeError, Move, Path, Put, SetFields, Take, Together, apply

__all__ = ["Change", "ChangeError", "Move", "Path", "Put", "SetFields", "Take", "Together", "apply"]
