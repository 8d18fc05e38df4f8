"""Can tonight's show run? Everything a desk can find out by itself before the doors open."""

from showcaller.readiness.finding import Finding
from showcaller.readiness.look import look_over

__all__ = ["Finding", "look_over"]
