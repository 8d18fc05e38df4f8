"""What the departments' desks tell of their cues: heard, read, and brought into the log."""

from showcaller.engine.reports.feed import ReportFeed

__all__ = ["ReportFeed"]
