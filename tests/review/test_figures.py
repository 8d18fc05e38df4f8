"""Sections, reactions, deliveries, timecode, slips, the day, incidents: worked out by hand."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from played import Played
from small_shows import cue, document, item, show, two_songs

from showcaller.archive import DayMark, Remark, Run
from showcaller.archive.values import StoredEvent
from showcaller.model import parse_show
from showcaller.review.day import day_table
from showcaller.review.delivery import deliveries, timecode_quality
from showcaller.review.incidents import KINDS, count_words, counts, incidents, told_of, work_days
from showcaller.review.lateness import habit_offers, habits
from showcaller.review.moments import moments, nearest_before
from showcaller.review.reactions import reactions
from showcaller.review.sections import section_table
from showcaller.review.slips import counted, slips
from showcaller.review.tables import cue_table
from showcaller.review.timeline import NS
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.codec import event_dict
from showcaller.run.runlog import Record


def song():
    """120 in 4/4, so a bar is 2 s: verse 8 bars (16 s) from bar 1, chorus from bar 9, 40 s in all."""
    sections = [{"name": "Verse", "bar": 1}, {"name": "Chorus", "bar": 9}]
    fields = {"tempo": [{"bar": 1, "bpm": 120}], "sections": sections}
    return show([item("s", 40, [cue("a", "1", 0)], **fields), item("t", 10, [cue("b", "2", 0)])])


def test_sections_last_as_long_as_the_clock_took_through_them_without_holds() -> None:
    run = Played(song())
    run.go(100)
    run.at(105, c.Hold("mic"))
    run.at(125, c.Resume())
    run.go(160)
    run.at(170, c.End())
    rows = section_table(run.compiled.plan, run.records)
    assert [(r.section, r.planned_s, r.actual_s) for r in rows] == [("Verse", 16, 16), ("Chorus", 24, 24)]


def test_a_slow_band_lengthens_the_section_it_was_slow_in() -> None:
    run = Played(song())
    run.go(100)
    # Bar 5 is on 8 s of the clock; the band is there at 10 s: the clock goes back 2 s in the verse.
    run.at(110, c.Resync(bar=5))
    run.go(142)
    run.at(150, c.End())
    verse, chorus = section_table(run.compiled.plan, run.records)
    assert (verse.actual_s, verse.over_s) == (18, 2)
    assert (chorus.actual_s, chorus.over_s) == (24, 0)
    early = Played(song())
    early.go(0)
    early.go(39)  # the last section ends with the song
    early.at(45, c.End())
    assert section_table(early.compiled.plan, early.records)[1].over_s == -1


def test_a_section_that_was_never_begun_has_no_length() -> None:
    run = Played(song())
    run.go(0)
    run.go(12)  # the next song, in the middle of the verse
    run.at(30, c.End())
    verse, chorus = section_table(run.compiled.plan, run.records)
    assert (verse.actual_s, chorus.actual_s) == (None, None)


def test_reactions_are_from_the_standby_to_the_answer() -> None:
    run = Played(two_songs())
    run.go(0)
    run.at(5, c.Standby("x", ("b", "v1")))
    run.at(6.5, c.Answer(("lights",)))
    run.at(8, c.Answer(("video",)))
    run.go(10)
    run.at(25, c.Standby("y", ("m1",)))
    run.at(40, c.End())
    rows = {r.department: r for r in reactions(run.compiled.plan, run.records)}
    assert (rows["Lights"].median_s, rows["Lights"].answered, rows["Lights"].silent) == (1.5, 1, 0)
    assert (rows["Video"].worst_s, rows["Video"].asked) == (3.0, 1)
    assert (rows["Moves"].median_s, rows["Moves"].silent) == (None, 1)


def test_slips_are_told_apart() -> None:
    run = Played(two_songs())
    run.go(0)
    run.go(10)
    run.at(11, c.Wrong())
    run.at(12, c.Jump("first", "b"))
    run.go(13)  # b again, not taken back in between? a jump takes it back
    run.at(20, c.Skip(run.next_go()))
    run.at(30, c.Go(run.next_go(), confirmed=True))  # refused: the path is not clear
    run.at(40, c.Report(ev.MessagesFailed(outlet="u", cue="b", why="connection refused")))
    run.at(50, c.End())
    found = slips(run.compiled.plan, run.records)
    numbers = counted(found)
    assert (numbers["wrong"], numbers["refused"], numbers["not delivered"]) == (1, 1, 1)
    assert numbers["skipped"] >= 1
    assert next(s for s in found if s.kind == "wrong").names == "Lights 2, Video 1"
    fired = ev.Fired(item="first", cue="b", go=None, planned_s=1.0, actual_s=1.0, by="go")
    twice = [Record(n, n * NS, 0, c.Go(""), (fired,)) for n in (1, 2)]
    assert [s.kind for s in slips(run.compiled.plan, twice)] == ["doubled"]


def test_a_cue_more_than_a_second_late_is_a_slip_and_one_that_was_taken_back_is_none() -> None:
    run = Played(two_songs())
    run.go(0)
    run.go(13.4)  # b and v1, planned at 10
    run.at(14, c.Back())
    run.go(14.5)
    run.go(20)
    run.at(60, c.End())
    found = slips(run.compiled.plan, run.records, cue_table(run.compiled.plan, run.records))
    late = [s for s in found if s.kind == "late"]
    assert [(s.names, s.t_s, s.why) for s in late][:1] == [("Lights 2, Video 1", 14.5, "4.5 s late")]
    assert [s.t_ns for s in found] == sorted(s.t_ns for s in found)


def test_deliveries_count_what_was_sent_failed_and_away() -> None:
    outlets = [{"kind": "osc_udp", "id": "u", "name": "Desk", "port": 9000}]
    plan = Played(two_songs(outlets=outlets)).compiled.plan

    def sent(late_ms: float, messages: int) -> ev.MessagesSent:
        return ev.MessagesSent(outlet="u", cue="a", late_ms=late_ms, messages=messages)

    log = [
        Record(1, 1 * NS, 0, c.Tick(), (sent(0.2, 2),)),
        Record(2, 2 * NS, 0, c.Tick(), (ev.OutletState(outlet="u", state="closed", why="unplugged"),)),
        Record(3, 3 * NS, 0, c.Tick(), (ev.MessagesFailed(outlet="u", cue="b", why="unplugged"),)),
        Record(4, 9 * NS, 0, c.Tick(), (ev.OutletState(outlet="u", state="open", why=""),)),
        Record(5, 10 * NS, 0, c.Tick(), (sent(0.6, 1),)),
    ]
    (row,) = deliveries(plan, log)
    assert (row.outlet, row.sent, row.failed, row.away_s, row.last_why) == ("Desk", 3, 1, 7.0, "unplugged")
    assert (row.median_late_ms, row.worst_late_ms) == (pytest.approx(0.4), 0.6)


def test_timecode_is_judged_from_when_it_was_first_heard() -> None:
    def code(n: int, t_s: float, what: str, shift_s: float | None = None) -> Record:
        event = ev.TimecodeTold(what=what, code=None, shift_s=shift_s, words="")
        return Record(n, int(t_s * NS), 0, c.Tick(), (event,))

    found = timecode_quality(
        [
            code(1, 10, "locked"), code(2, 11, "followed", 0.4), code(3, 60, "freewheeling"),
            code(4, 61, "holding"), code(5, 71, "locked"), code(6, 72, "asks"), code(7, 73, "taken", -12.5),
            code(8, 110, "off"),
        ]
    )  # fmt: skip
    assert found is not None
    assert (found.heard_s, found.good_s, found.losses, found.longest_loss_s) == (100, 90, 1, 10)
    assert (found.shifts, found.worst_shift_s, found.jumps, found.by_hand) == (2, -12.5, 1, 1)
    assert found.share == 0.9
    assert timecode_quality([]) is None


DAY = [
    {"id": "in", "name": "Get-in", "kind": "get-in", "starts_at": "08:00", "ends_at": "11:00", "crew": 20},
    {"id": "doors", "name": "Doors", "kind": "doors", "starts_at": "19:00"},
    {"id": "out", "name": "Get-out", "kind": "get-out", "starts_at": "23:00", "ends_at": "01:30", "crew": 24},
]


def at(day: int, hour: int, minute: int) -> int:
    return int(datetime(2026, 7, day, hour, minute, tzinfo=UTC).timestamp()) * NS


def test_the_day_is_planned_over_midnight_and_the_last_word_counts() -> None:
    import json

    plan = parse_show(json.dumps(document([item("s", 60, [])], day=DAY)))
    marks = [
        DayMark("2026-07-04", "in", "began", at(4, 8, 10), "Ada", 1),
        DayMark("2026-07-04", "in", "ended", at(4, 11, 40), "Ada", 2),
        DayMark("2026-07-04", "doors", "began", at(4, 19, 0), "Ada", 3),
        DayMark("2026-07-04", "doors", "began", at(4, 19, 5), "Ben", 4),
        DayMark("2026-07-05", "doors", "began", at(5, 19, 0), "Ada", 5),
    ]
    rows = {r.id: r for r in day_table(plan, "2026-07-04", marks, UTC)}
    assert (rows["in"].late_s, rows["in"].over_s, rows["in"].took_s) == (600, 1800, 12600)
    assert rows["doors"].late_s == 300
    assert "Ben 19:05 counts, before that Ada 19:00" in rows["doors"].differ
    (tokyo,) = (r for r in day_table(plan, "2026-07-04", marks, ZoneInfo("Asia/Tokyo")) if r.id == "doors")
    assert "Ben 04:05 counts, before that Ada 04:00" in tokyo.differ, "the venue's clock, not the machine's"
    assert (rows["out"].planned_start_ns, rows["out"].planned_end_ns) == (at(4, 23, 0), at(5, 1, 30))
    assert (rows["out"].began_ns, rows["out"].late_s, rows["out"].over_s) == (None, None, None)


def test_incidents_come_by_the_calendar_beside_what_took_how_long() -> None:
    import json

    def night(number: int, day: int) -> Run:
        start = at(day, 20, 0)
        return Run(number, f"r{number}", 1, "Ada", False, None, start, start + NS, True, 3)

    def note(seq: int, text: str, about: str) -> StoredEvent:
        body = event_dict(
            ev.NoteTaken(text=text, to="", item="s", at_s=None, bar=None, beat=None, cue=None, about=about)
        )
        return StoredEvent(seq, 0, seq * NS, 0, "note", "s", None, None, None, body)

    hurt, plain = note(9, "thumb", "injury"), note(10, "late", "")
    later = {1: [Remark(3 * NS, "near miss", "a truss", "Ben", 0)]}
    found = incidents([(night(1, 4), [plain]), (night(2, 5), [hurt])], later)
    assert [(i.run, i.kind, i.words) for i in found] == [(1, "near miss", "a truss"), (2, "injury", "thumb")]
    assert counts(found) == {"injury": 1, "near miss": 1, "damage": 0}
    plan = parse_show(json.dumps(document([item("s", 60, [])], day=DAY)))
    slow = [DayMark("2026-07-04", "in", w, at(4, h, 0), "A", 1) for w, h in (("began", 8), ("ended", 12))]
    fast = [DayMark("2026-07-05", "in", w, at(5, h, 0), "A", 1) for w, h in (("began", 8), ("ended", 10))]
    days = [(d, day_table(plan, d, m, UTC)) for d, m in (("2026-07-05", fast), ("2026-07-04", slow))]
    rows = work_days(days, found, {1: "2026-07-04", 2: "2026-07-05"})
    assert [r.day for r in rows] == ["2026-07-04", "2026-07-05"]  # never the fastest first
    assert [i.words for i in rows[0].incidents] == ["a truss"]
    assert rows[0].work[0] == ("Get-in", 10800.0, 14400.0)
    assert rows[1].work[1] == ("Get-out", 9000.0, None)


def test_an_incident_stands_at_its_press_with_its_last_words_and_a_leg_that_was_stopped_once() -> None:
    place = {"item": "s", "at_s": None, "bar": None, "beat": None, "cue": None}
    facts: list[ev.Event] = [
        ev.IncidentOpened(incident="x", by="Jo", **place),  # type: ignore[arg-type]
        ev.IncidentOpened(incident="y", by="", **place),  # type: ignore[arg-type]
        ev.IncidentOpened(incident="z", by="", **place),  # type: ignore[arg-type]
        ev.IncidentWritten(incident="x", fields={"draft": "inj"}, by="Jo"),
        ev.WalkStopped(item="w", step="Lane", missing=("Lane clear: waiting for Moves",), by="Jo"),
        ev.WalkStopped(item="w", step="Lane", missing=("Lane clear: waiting for Moves",), by="Jo"),
        ev.IncidentWritten(incident="x", fields={"kind": "injury", "what": "a hand", "draft": ""}, by="Jo"),
        ev.IncidentWritten(incident="x", fields={"first_aid": "bandaged"}, by="Jo"),
        ev.IncidentWritten(incident="z", fields={"kind": "by mistake"}, by="Jo"),
    ]
    told = [
        StoredEvent(n, 0, n * NS, 0, e.kind, "s", None, None, None, event_dict(e))
        for n, e in enumerate(facts, 1)
    ]
    run = Run(1, "r1", 1, "Ada", False, None, 0, NS, True, 9)
    by_kind = [[(run, [e for e in told if e.kind == kind])] for kind in KINDS]
    found = incidents(told_of(by_kind), {})
    assert [(i.kind, i.t_ns, i.words, i.by) for i in found] == [
        ("injury", 1 * NS, "a hand", "Jo"),
        ("not said", 2 * NS, "its key was pressed, and nobody has said why", "Ada"),
        ("stopped", 5 * NS, "'Lane' was not clear (Lane clear: waiting for Moves): stopped before it", "Jo"),
    ]
    assert found[0].form == {"first_aid": "bandaged"}
    words = count_words(found)
    assert words == "1 injury, 0 near misses, 0 damage, 1 not said what, 1 stopped for clearance"


def test_a_habit_is_told_from_a_slip_and_offered_to_the_plan() -> None:
    tables = []
    for n, late in enumerate((0.6, 0.7, 0.5, 0.6, 0.65)):
        run = Played(two_songs())
        run.go(0)
        run.go(10 + late)
        run.go(20)
        run.at(28, c.Clear("path", True))
        run.go(30 + (2.0 if n == 2 else 0.0), confirmed=True)
        run.at(50, c.End())
        tables.append((n + 1, cue_table(run.compiled.plan, run.records)))
    plan = run.compiled.plan
    found = habits(tables)
    assert [(h.name, round(h.error_s, 2), h.off, h.runs) for h in found] == [
        ("Lights 2", 0.6, 5, 5), ("Video 1", 0.6, 5, 5),
    ]  # fmt: skip
    first = habit_offers(plan, found)[0]
    assert first.words == "Lights 2 was called 0.6 s late in 5 of 5 shows."
    assert first.at == ("items", "first", "cues", "b")
    assert first.fields == {"anchor": {"at": "time", "seconds": "10.6"}}


def test_moments_are_everything_one_may_want_to_go_to() -> None:
    run = Played(two_songs())
    run.go(5)
    run.go(15)
    run.at(16, c.WriteNote("she turned early"), c.WriteNote("nearly hit", about="near miss"))
    run.at(20, c.Wrong())
    run.at(30, c.End())
    found = moments(run.compiled.plan, run.records, [Remark(18 * NS, "note", "look here", "Ben", 0)])
    told = [(m.kind, m.name, round(m.t_s, 1)) for m in found]
    assert told[:4] == [
        ("item", "First", 0), ("cue", "Lights 1", 0), ("cue", "Lights 2", 10), ("cue", "Video 1", 10),
    ]  # fmt: skip
    assert ("note", "note", 11) in told
    assert ("incident", "near miss", 11) in told
    assert ("fault", "wrong go", 15) in told
    assert ("note", "note", 13) in told
    last = nearest_before(found, 19 * NS, "cue")
    assert last is not None
    assert last.cue == "d"


def test_how_the_show_stood_at_any_instant(tour, run, report) -> None:
    from showcaller.review.standing import Standings, follow

    stands = Standings(report)
    begun = 48 * NS
    before = stands.at(begun - NS)
    assert (before.item, before.last, round(before.coming[0][1], 3)) == ("", None, 1.0)
    song = stands.at(begun + 70 * NS)
    assert (song.item, song.clock_s, song.show_s) == ("Song", 70.0, 70.0)
    assert song.last is not None
    assert song.last[0].name == "Lights 2.5"
    held = stands.at(450 * NS)
    assert (held.item, held.held, round(held.clock_s or 0, 1)) == ("Walk", True, 27.9)
    after = stands.at(470 * NS)
    assert (after.held, round(after.clock_s or 0, 1)) == (False, 35.9)
    assert report.moments[follow(report.moments, 0)].kind == "item"
