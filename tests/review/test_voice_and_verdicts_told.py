"""What was heard and judged is in the report: pages of their own, read by pdftotext; the first stays one."""

import subprocess
from datetime import UTC

from devices import program

from showcaller.review.exports import export_run
from showcaller.review.exports.sheets import run_sheets
from showcaller.review.report import run_report, tour_report
from showcaller.review.voice import LineHeard, heard_text

NS = 1_000_000_000


def test_said_given_done_and_verdicts_are_pages_of_their_own(tour, run, tmp_path):
    report = run_report(tour, run, UTC)
    assert not {"Said, given, done", "Verdicts"} & {s.name for s in run_sheets(report)}, "nothing, no page"
    go = next(g.id for i in report.plan.items for g in i.goes if i.item.id == "song" and g.cues == (1,))
    # The go of s2 was given at 108.2 s of the run's clock, 0.2 s late: its word had ended at 108.05.
    heard = [LineHeard(go, round(106.9 * NS), round(108.05 * NS), 1.0)]
    tour.add_remark(run, 0, heard_text(heard), kind="heard", by="Ada")
    tour.add_remark(run, 110 * NS, "hands in the air", kind="good", by="Cy")
    report, across = run_report(tour, run, UTC), tour_report(tour, run, UTC)
    sheets = {s.name: s for s in run_sheets(report)}
    (row,) = sheets["Said, given, done"].rows
    assert row[1:6] == ("Lights 2", "s2", 0.2, 0.05, 0.15)
    (judged,) = sheets["Verdicts"].rows
    assert judged[1:] == ("Song", "", "good", "hands in the air", "Cy", "open")
    export_run(report, across, "pdf", tmp_path / "r.pdf")
    done = subprocess.run(
        [program("pdftotext"), "-layout", tmp_path / "r.pdf", "-"], capture_output=True, check=True, text=True
    )
    pages = done.stdout.split("\f")
    assert "Said, given, done" not in pages[0]
    assert "Where the time went" in pages[0] or "Song" in pages[0]
    whole = " ".join(done.stdout.split())
    assert "Said, given, done" in whole
    assert "hands in the air" in whole
