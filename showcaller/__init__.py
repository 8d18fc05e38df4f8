"""showcaller: plan, rehearse, call, fire and review a live show."""

__version__ = "0.1.0"
