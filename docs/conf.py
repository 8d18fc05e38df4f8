"""The handbook as web pages: ``sphinx-build -W -c docs resources/handbook OUT``."""

from typing import Any

from showcaller import __version__
from showcaller.desk.handbook_pages import HandbookPart, contents

project = "showcaller"
release = __version__
extensions = ["myst_parser"]
html_theme = "furo"
html_title = "showcaller's handbook"
html_show_sphinx = False
exclude_patterns: list[str] = []


def add_contents(_app: Any, name: str, source: list[str]) -> None:
    """The first page has the contents, which the desk's window shows beside every page."""
    if name != "index":
        return
    for entry in contents():
        if isinstance(entry, HandbookPart):
            source[0] += f"```\n\n```{{toctree}}\n:hidden:\n:caption: {entry.words}\n\n"
        elif entry.page == "index":
            source[0] += "\n```{toctree}\n:hidden:\n\n"
        else:
            source[0] += f"{entry.page}\n"
    source[0] += "```\n"


def setup(app: Any) -> None:
    """Called by Sphinx."""
    app.connect("source-read", add_contents)
