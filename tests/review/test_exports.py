"""Every format is read back by a program that is not ours."""

import csv
import email
import email.policy
import functools
import io
import json
import subprocess
import threading
from datetime import UTC
from fractions import Fraction
from html.parser import HTMLParser
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from queue import Queue

import opentimelineio as otio
import pytest
import webvtt
from burned import make_recording
from devices import program
from openpyxl import load_workbook

from showcaller.review.exports import FORMATS, ExportStopped, Placed, export_run
from showcaller.review.exports.chapters import chapters, cue_track
from showcaller.review.exports.markers import edl_text, otio_text, timeline
from showcaller.review.exports.picture import fall_boxes, signed
from showcaller.review.exports.sheet_minutes import at_right, for_people
from showcaller.review.exports.sheets import run_sheets
from showcaller.review.report import run_report, tour_report
from showcaller.review.tape_clock import TapeClock
from showcaller.timing.plan import compile_plan
from showcaller.values import replace

NS = 1_000_000_000
ITEMS = [("Song", 0.0), ("Talk: the lamp", 190.0), ("Walk", 364.1), ("Last", 450.433)]
"""Items of the plain night with the second they began, from the show's start at 48 s of the run's clock."""


def test_chapters_are_read_by_webvtt_py(report) -> None:
    found = webvtt.from_string(chapters(report))
    assert [(c.text, round(c.start_in_seconds)) for c in found.captions] == [
        (name, int(at_s)) for name, at_s in ITEMS
    ]
    assert found.captions[0].end == found.captions[1].start
    assert [c.start for c in found.captions][1] == "00:03:10.000"
    assert found.captions[-1].end == "00:11:40.433"


def test_times_count_from_the_first_frame_of_the_recording(report) -> None:
    found = webvtt.from_string(chapters(report, clock=TapeClock(40 * NS)))
    assert [c.start for c in found.captions][:2] == ["00:00:08.000", "00:03:18.000"]
    late = webvtt.from_string(chapters(report, clock=TapeClock(60 * NS)))  # the recorder was started late
    assert late.captions[0].start == "00:00:00.000"


def test_what_somebody_typed_is_text_and_nothing_else(report) -> None:
    text = cue_track(report)
    assert "<script>" not in text
    found = webvtt.from_string(text)
    (note,) = [c for c in found.captions if "ngstr" in c.text]
    assert note.start_in_seconds == 52
    assert all(c.start_in_seconds < c.end_in_seconds for c in found.captions)


class Quiet(SimpleHTTPRequestHandler):
    """A file server that says nothing, and keeps what a page tells it."""

    told: Queue[bytes]

    def do_POST(self) -> None:
        self.told.put(self.rfile.read(int(self.headers["Content-Length"])))
        self.send_response(204)
        self.end_headers()

    def log_message(self, *_: object) -> None: ...


@pytest.mark.system
@pytest.mark.timeout(90)
def test_a_real_browser_shows_them_as_chapters(report, across, tmp_path: Path) -> None:
    chromium = program("chromium")
    make_recording(tmp_path / "show.mp4", 25 * 8, Fraction(25))
    for name, file in (("vtt", "a.vtt"), ("cues", "b.vtt")):
        export_run(report, across, name, tmp_path / file, placed=Placed(TapeClock(44 * NS), "show.mp4"))
    (tmp_path / "index.html").write_text(
        """<!doctype html><video id=v preload=auto muted>
        <track kind=chapters src="a.vtt" default><track kind=metadata src="b.vtt" default></video>
        <script>
        fetch("show.mp4").then(r => r.blob()).then(b => v.src = URL.createObjectURL(b));  // can be sought in
        const say = t => fetch("told", {method: "POST", body: t});
        const tracks = [...v.textTracks]; tracks.forEach(t => t.mode = "hidden");
        const ready = () => tracks.every(t => t.cues && t.cues.length) && v.readyState > 1;
        const wait = setInterval(() => { if (!ready()) return; clearInterval(wait);
          v.onseeked = () => { const look = setInterval(() => {
            if (!tracks[0].activeCues.length) return; clearInterval(look); say(JSON.stringify({
            kinds: tracks.map(t => t.kind),
            all: [...tracks[0].cues].map(c => [c.text, c.startTime, c.endTime]),
            now: [...tracks[0].activeCues].map(c => c.text), at: v.currentTime,
            cues: [...tracks[1].cues].map(c => c.getCueAsHTML().textContent)})) }, 20) };
          v.currentTime = 5.0; }, 20);
        </script>""",
        encoding="utf-8",
    )
    Quiet.told = Queue()
    handler = functools.partial(Quiet, directory=str(tmp_path))
    options = ["--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path / 'profile'}"]
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        url = f"http://127.0.0.1:{server.server_port}/index.html"
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        browser = subprocess.Popen([chromium, *options, "--remote-debugging-port=0", url], **quiet)
        try:
            told = json.loads(Quiet.told.get(timeout=60))
        finally:
            browser.terminate()
            browser.wait(10)
            server.shutdown()
    assert told["kinds"] == ["chapters", "metadata"]
    assert [(text, round(at)) for text, at, _ in told["all"]] == [(n, int(s) + 4) for n, s in ITEMS]
    assert told["now"] == ["Song"]
    assert any('<script>alert("x")</script> & -->' in text for text in told["cues"])


@pytest.mark.parametrize("rate", ["25", "24", "29.97 drop", "30"])
def test_markers_are_read_back_by_opentimelineio(report, tmp_path: Path, rate: str) -> None:
    from showcaller.timing.plan import compile_plan
    from showcaller.values import replace

    shown = replace(report, plan=compile_plan(report.plan.show.changed(timecode_rate=rate)))
    code = "01:00:00;00" if "drop" in rate else "01:00:00:00"
    made = timeline(shown, TapeClock(40 * NS), "/videos/night one.mov", code)
    fps = made.global_start_time.rate
    back = otio.adapters.read_from_string(otio_text(made), adapter_name="otio_json")
    (clip,) = back.find_clips()
    assert clip.media_reference.target_url == "file:///videos/night%20one.mov"
    song = next(m for m in clip.markers if m.name == "Song")
    frames = (song.marked_range.start_time - clip.source_range.start_time).value
    assert frames == int(8 * fps + 1e-9)
    assert song.metadata["showcaller"]["kind"] == "item"
    text = edl_text(made)
    assert code.replace(";", ":")[:8] in text.replace(";", ":")
    read = otio.adapters.read_from_string(text, adapter_name="cmx_3600", rate=fps)
    (event,) = read.find_clips()
    assert len(event.markers) == len(clip.markers)
    song_there = next(m for m in event.markers if m.name == "SONG").marked_range.start_time
    # Locators are written with colons, so it is the label that has to agree.
    label = otio.opentime.to_timecode(song.marked_range.start_time, fps)
    assert otio.opentime.to_timecode(song_there, fps, drop_frame=False) == label.replace(";", ":")
    assert event.source_range.duration == clip.source_range.duration


RATES = ["23.976", "24", "25", "29.97 drop", "29.97", "30", "50", "59.94 drop"]


@pytest.mark.parametrize("code", ["01:00:00:00", "21:31:07:12"])
@pytest.mark.parametrize("rate", RATES)
def test_the_edit_list_says_how_it_counts_whatever_stands_in_its_names(report, rate: str, code: str) -> None:
    """Against OpenTimelineIO's own CMX 3600 reader, and our exact timecode for what a label is worth."""
    from showcaller.timing.plan import compile_plan
    from showcaller.timing.timecode import frame_number, label
    from showcaller.values import replace

    names = ["Lamp; ferry", 'The "Quay": 2', "It's 01:00:00;00", "two\nlines; one"]
    moments = tuple(
        replace(m, name=names[n % len(names)], words="; : \"'") for n, m in enumerate(report.moments)
    )
    shown = replace(report, plan=compile_plan(report.plan.show.changed(timecode_rate=rate)), moments=moments)
    made = timeline(shown, TapeClock(40 * NS), "/videos/night; one: 'a'.mov", code)
    made.name = 'a;b:"c"'
    text = edl_text(made)
    drops = "drop" in rate
    assert text.splitlines()[:2] == ['TITLE: a;b:"c"', f"FCM: {'DROP' if drops else 'NON-DROP'} FRAME"]
    assert text.count("FCM") == 1
    fps = made.global_start_time.rate
    (clip,) = made.find_clips()
    (event,) = otio.adapters.read_from_string(text, adapter_name="cmx_3600", rate=fps).find_clips()
    assert event.source_range.start_time.value == frame_number(code, rate)
    assert event.source_range.duration.value == clip.source_range.duration.value
    assert event.name == clip.name
    assert [m.name for m in event.markers] == [m.name.upper() for m in clip.markers]
    for there, ours in zip(event.markers, clip.markers, strict=True):
        if drops:  # its reader knows only colons in locators, and counts such labels without dropping
            read = otio.opentime.to_timecode(there.marked_range.start_time, fps, drop_frame=False)
            assert read == label(int(ours.marked_range.start_time.value), rate).replace(";", ":")
        else:
            assert there.marked_range.start_time.value == ours.marked_range.start_time.value


def test_without_a_recording_the_markers_stand_at_the_time_of_day(report) -> None:
    made = timeline(report, None, None, None)
    begun = otio.opentime.to_timecode(made.global_start_time, 25)
    assert begun == "08:54:08:00"  # 1,760,000,000 s of Unix time and 48 s, in UTC
    assert len(next(iter(made.find_clips())).markers) == len(report.moments)


def test_the_spreadsheet_is_read_and_runs_nothing(report, across, tmp_path: Path) -> None:
    export_run(report, across, "xlsx", tmp_path / "a.xlsx")
    book = load_workbook(tmp_path / "a.xlsx")
    assert book.sheetnames[:4] == ["Report", "Incidents", "Where the time went", "Items"]
    items = list(book["Items"].values)
    assert items[1][:6] == ("Song", "song", "played", 200, 190, -10)
    assert list(book["Where the time went"].values)[-1][3] == report.fall.total_ns / NS
    note = next(c for row in book["Notes"].iter_rows() for c in row if str(c.value).startswith("=1+1"))
    assert note.data_type == "s"


def test_csv_files_are_what_the_spreadsheet_has(report, across, tmp_path: Path) -> None:
    export_run(report, across, "csv", tmp_path / "out")
    for sheet in run_sheets(report):
        text = (tmp_path / "out" / f"{sheet.name.lower().replace(' ', '-')}.csv").read_bytes().decode()
        rows = list(csv.reader(io.StringIO(text, newline="")))
        assert rows[0] == list(sheet.headings)
        assert len(rows) == len(sheet.rows) + 1
    with pytest.raises(OSError, match="name a new folder"):
        export_run(report, across, "csv", tmp_path / "out")


class Outline(HTMLParser):
    """What a page holds: its tags, and whether anything comes from elsewhere."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.elsewhere: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.elsewhere += [v or "" for k, v in attrs if k in ("src", "href")]

    def handle_data(self, data: str) -> None:
        self.text += data


def test_the_page_needs_nothing_and_escapes_everything(report, across, tmp_path: Path) -> None:
    export_run(report, across, "html", tmp_path / "a.html")
    page = Outline()
    page.feed((tmp_path / "a.html").read_text(encoding="utf-8"))
    assert "script" not in page.tags
    assert page.elsewhere == []
    assert '<script>alert("x")</script> & --> Ångström (Zoë)' in page.text
    assert "near miss: a finger in the riser" in page.text
    assert page.tags.count("rect") == len(report.fall.bars()) + 2
    assert page.text.index("Incidents first.") < page.text.index("Where the time went")


@pytest.mark.system
def test_the_paper_says_what_matters_on_its_first_page(report, across, tmp_path: Path) -> None:
    """Read by poppler's pdftotext; its fonts are in it."""
    export_run(report, across, "pdf", tmp_path / "a.pdf")
    text = subprocess.run(
        [program("pdftotext"), "-layout", tmp_path / "a.pdf", "-"], capture_output=True, check=True
    ).stdout.decode()
    first, *rest = text.split("\f")
    for words in (
        "Show 1, Pier",
        "near miss: a finger in the riser",
        "hold: mic",
        "planned end",
        "+1:14",
        "For tomorrow",
    ):
        assert words in first, words
    assert first.index("Incidents") < first.index("Where the time went")
    whole = " ".join(" ".join(rest).split())
    assert "Ångström (Zoë)" in whole
    assert "Talk: the lamp" in whole
    fonts = subprocess.run(
        ["pdffonts", tmp_path / "a.pdf"], capture_output=True, text=True, check=True
    ).stdout
    # The writer names Helvetica, which every reader has, in every file, and sets nothing in it.
    rows = [line.split() for line in fonts.splitlines()[2:] if not line.startswith("Helvetica ")]
    assert sorted(row[0].split("+")[1] for row in rows) == ["Inter-Regular", "Inter-SemiBold"]
    assert all(row[-5] == "yes" for row in rows)


def test_bars_stand_on_each_other_from_the_planned_end_to_the_actual(report) -> None:
    boxes, links = fall_boxes(report.fall, 700, 200)
    assert [b.label for b in boxes][0 :: len(boxes) - 1] == ["planned end", "actual end"]
    assert len(links) == len(boxes) - 1
    assert all(b.y >= 0 and b.y + b.h <= 200.01 and b.x + b.w <= 700 for b in boxes)
    scale = [b.h / abs(bar.ns) for b, bar in zip(boxes[1:-1], report.fall.bars(), strict=True) if b.h > 1.01]
    assert max(scale) == pytest.approx(min(scale))
    assert (signed(74), signed(-12.4), signed(0.2), signed(3723)) == ("+1:14", "−0:12", "0:00", "+1:02:03")


@pytest.mark.parametrize("name", sorted(FORMATS))
def test_every_format_tells_how_far_it_is_or_is_done_at_once_and_leaves_nothing_when_stopped(
    report, across, tmp_path: Path, name: str
) -> None:
    seen: list[tuple[str, int, int]] = []
    path = tmp_path / f"x{FORMATS[name].suffix}"
    export_run(report, across, name, path, progress=lambda *s: seen.append(s))
    assert path.exists()
    if not seen:  # a few milliseconds of text: nothing to tell, nothing to stop
        assert name in ("json", "vtt", "cues", "otio", "edl")
        return
    assert [n for _, n, _ in seen] == sorted(n for _, n, _ in seen)
    other = tmp_path / f"y{FORMATS[name].suffix}"
    with pytest.raises(ExportStopped):
        export_run(report, across, name, other, stopped=lambda: len(seen) > 0)
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted({path.name, "t.tour"})


def test_the_form_of_an_incident_is_finished_afterwards_and_read_by_those_the_show_names(
    tour, run, tmp_path: Path
) -> None:
    """Page by page by poppler's pdftotext: the names of who was hurt stand in the forms alone."""
    for text in ("person: Sam Ode", "first aid: cold pack", "shoe: blue"):
        tour.add_remark(run, 200 * NS, text, kind="form", by="Ben")
    zone = UTC
    report, across = run_report(tour, run, zone), tour_report(tour, run, zone)
    (incident,) = report.incidents
    assert incident.form == {"person": "Sam Ode", "first_aid": "cold pack"}
    assert "Sam Ode" in str(run_sheets(report)[0].rows)
    named = report.plan.show.changed(incident_readers=["Stage manager", "Safety officer"])
    report = replace(report, plan=compile_plan(named))
    texts = {}
    for name in ("pdf", "forms", "html", "csv"):
        export_run(report, across, name, tmp_path / name)
        if name in ("pdf", "forms"):
            done = subprocess.run(
                [program("pdftotext"), "-layout", tmp_path / name, "-"], capture_output=True, check=True
            )
            texts[name] = " ".join(done.stdout.decode().split())
    pages = (tmp_path / "html").read_text(), *(p.read_text() for p in (tmp_path / "csv").iterdir())
    assert not any("Sam Ode" in text for text in (texts["pdf"], *pages))
    assert "form 2 of 5, for Stage manager, Safety officer" in texts["pdf"]
    found = ("For Stage manager, Safety officer only.", "person Sam Ode", "first aid cold pack", "witness")
    for words in (*found, "must still be filed"):
        assert words in texts["forms"], words


def test_the_mail_draft_is_read_by_pythons_email_incidents_before_times(
    report, across, tmp_path: Path
) -> None:
    export_run(report, across, "eml", tmp_path / "a.eml")
    assert [p.name for p in tmp_path.iterdir() if p.suffix in (".eml", ".pdf")] == ["a.eml"]
    message = email.message_from_bytes((tmp_path / "a.eml").read_bytes(), policy=email.policy.default)
    assert (message["Subject"], message["X-Unsent"], message["To"]) == (
        f"Show 1, Pier, {report.date}", "1", None
    )  # fmt: skip
    body = message.get_body(("plain",)).get_content()
    assert body.index("near miss: a finger in the riser") < body.index(report.sentence)
    (paper,) = message.iter_attachments()
    assert paper.get_content_type() == "application/pdf"
    assert paper.get_content().startswith(b"%PDF")
    assert "/" not in paper.get_filename()


def test_lengths_are_read_in_minutes_and_seconds_and_counted_in_seconds(report, across) -> None:
    (items,) = [sheet for sheet in run_sheets(report) if sheet.name == "Items"]
    shown = for_people(items)
    assert items.headings[3:6] == ("Planned, s", "Actual, s", "Over, s")
    assert shown.headings[3:6] == ("Planned", "Actual", "Over")
    assert [row[3:6] for row in items.rows][1] == (100.1, 174.1, 74.0)
    assert [row[3:6] for row in shown.rows][1] == ("1:40", "2:54", "+1:14")
    assert all(at_right(cell) for cell in shown.rows[1][3:6])
    (fall,) = [sheet for sheet in run_sheets(report) if sheet.name == "Where the time went"]
    assert for_people(fall).headings[-1] == "m:ss"
    assert any(str(row[-1]).startswith("−") for row in for_people(fall).rows)
