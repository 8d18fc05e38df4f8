"""Afterwards: where the time went, what became of every cue, and what the tour teaches. Pure functions."""

from showcaller.review.errors import ReviewError
from showcaller.review.export import to_csv, to_json
from showcaller.review.learned import Sample, item_samples, suggestion
from showcaller.review.notable import Notable, notable
from showcaller.review.score import Score, scores
from showcaller.review.stats import DepartmentStats, Spread, department_stats, spread
from showcaller.review.tables import CueRow, ItemRow, cue_table, item_table
from showcaller.review.timeline import Hold, Timeline, Visit, make_timeline
from showcaller.review.trend import Trend, TrendPoint, trend
from showcaller.review.walks import WalkReview, walks
from showcaller.review.waterfall import Bar, Part, Waterfall, planned_start_wall_ns, waterfall
from showcaller.review.words import summary_sentence

__all__ = [
    "Bar", "CueRow", "DepartmentStats", "Hold", "ItemRow", "Notable", "Part", "ReviewError", "Sample",
    "Score", "Spread", "Timeline", "Trend", "TrendPoint", "Visit", "WalkReview", "Waterfall",
    "cue_table", "department_stats", "item_samples", "item_table", "make_timeline", "notable",
    "planned_start_wall_ns", "scores", "spread", "suggestion", "summary_sentence", "to_csv", "to_json",
    "trend", "walks", "waterfall",
]  # fmt: skip
