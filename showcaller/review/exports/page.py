"""A web page that needs nothing beside it: no script, no font, no picture from elsewhere."""

from collections.abc import Sequence
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined

from showcaller.review.exports.picture import fall_boxes
from showcaller.review.exports.progress import Steps
from showcaller.review.exports.sheet_minutes import at_right, for_people
from showcaller.review.exports.sheets import Sheet, text_of
from showcaller.review.incidents import count_words
from showcaller.review.report import RunReport, TourReport

WIDTH, HEIGHT = 960, 260


def write_page(
    report: RunReport, tour: TourReport, sheets: Sequence[Sheet], path: Path, steps: Steps
) -> None:
    """Write ``.html``; everything anybody typed is escaped."""
    steps.next("drawing")
    environment = Environment(
        loader=PackageLoader("showcaller.review", "exports"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    boxes, links = fall_boxes(report.fall, WIDTH, HEIGHT)
    steps.next("writing")
    text = environment.get_template("report.html.j2").render(
        report=report, tour=tour, sheets=[for_people(one) for one in sheets], at_right=at_right, boxes=boxes,
        links=links, width=WIDTH, height=HEIGHT,
        text_of=text_of, count_words=count_words,
    )  # fmt: skip
    path.write_text(text, encoding="utf-8")
