"""When a show that has not begun will end: from now or from the planned time, whichever is later."""

from datetime import datetime

import pytest
from books import book_of
from played import Played
from small_shows import two_songs

from showcaller.desk.outlook import Outlook


def ns(words):
    return int(datetime.fromisoformat(words).timestamp() * 1e9)


@pytest.mark.parametrize(
    ("now", "counted"),
    [
        ("2026-07-04 15:00", "2026-07-04 20:45"),
        ("2026-07-04 20:44", "2026-07-04 20:45"),
        ("2026-07-04 21:10", "2026-07-04 21:10"),  # doors were late: it cannot begin before now
        ("2026-07-05 00:40", "2026-07-05 00:40"),
        ("2026-07-05 03:00", "2026-07-05 20:45"),  # tomorrow's
    ],
)
def test_it_counts_from_now_or_the_planned_start_whichever_is_later(now, counted):
    run = Played(two_songs(starts_at="20:45"), started=False)
    outlook = Outlook(lambda: book_of(run), lambda: run.compiled.plan.show)
    assert outlook.counted_ns(ns(now)) == ns(counted)
    run = Played(two_songs(starts_at="20:45"))
    assert outlook.counted_ns(ns(now)) == ns(now), "once a show is open only now counts"
