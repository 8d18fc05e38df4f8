"""showcaller: plan, rehearse, call, fire and review a live show."""

import os

# pydantic looks through every package that is installed for plugins to itself, at every start: a fifth of
# what loading the model costs. None is used here, and none that lies about should run in a show.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

__version__ = "0.1.0"
