"""Where each second of a late cue arose, and what was spoken and not keyed."""

import pytest
from played import Played
from reporting import report, reporting

from showcaller.archive import Remark
from showcaller.review.clock_path import clock_path
from showcaller.review.tables import cue_table
from showcaller.review.voice import (
    LineHeard,
    heard_in,
    heard_text,
    latenesses,
    not_keyed,
    show_lines,
    speaking_offers,
)
from showcaller.run import commands as c
from showcaller.run.compiled import NS, compile_show


def night():
    run = Played(reporting())
    run.go(1)
    run.at(3, c.Standby("song:standby:b", ("b",)))
    run.go(11.5)
    report(run, 11.8, "b")
    run.go(21)
    run.at(50)
    return run


def lines_of(run):
    return show_lines(
        run.compiled.plan, clock_path(compile_show(run.compiled.plan), run.records), run.records
    )


def test_voice_key_and_desk_together_are_how_late_it_was():
    run = night()
    heard = [
        LineHeard("song:b", round(10.2 * NS), round(11.3 * NS), 0.9),
        LineHeard("song:v", 0, 21 * NS, 0.3),
    ]
    rows = cue_table(run.compiled.plan, run.records)
    found = latenesses(run.records, rows, heard)
    late = found["b", 10.5]
    row = next(r for r in rows if r.cue == "b")
    assert late.voice_s + late.finger_s == pytest.approx(row.late_s) == pytest.approx(0.5)
    assert (round(late.finger_s, 6), round(late.department_s, 6)) == (0.2, 0.3)
    assert late.words == "voice +0.30, key +0.20, desk +0.30 s"
    assert not any(cue == "v" for cue, _ in found)  # too doubtful to be believed


def test_lines_are_where_their_keys_were_else_where_they_were_planned():
    run = night()
    lines = {x.id: x for x in lines_of(run)}
    assert lines["song:b"].t_ns == round(11.5 * NS)
    assert lines["song:start"].t_ns == NS
    planned = next(x for x in lines.values() if x.what == "standby" and "v" in x.cues)
    assert 1 * NS < planned.t_ns < 21 * NS
    spoken, silent = not_keyed(lines.values(), run.records, [LineHeard(planned.id, 0, NS, 0.9)])
    assert spoken == (planned,)
    assert silent == ()


def test_what_was_heard_is_kept_and_read_back_and_rubbish_is_nothing():
    heard = (LineHeard("song:b", 1, 2, 0.5),)
    assert heard_in([Remark(0, "heard", heard_text(heard), "", 0)]) == heard
    for text in ("", "[[1]]", '{"a": 1}', "[[1,2,3,4,5]]", '[["a","b","c","d"]]'):
        assert heard_in([Remark(0, "heard", text or "x", "", 0)]) == ()


def test_a_rate_of_speaking_is_offered_from_a_dozen_lines_on():
    run = night()
    lines = lines_of(run)
    text = next(x for x in lines if x.id == "song:b")
    said_s = 60 * len(text.text.replace(",", "").split()) / 100  # 100 words a minute
    heard = [LineHeard("song:b", n * 20 * NS, round((n * 20 + said_s) * NS), 1.0) for n in range(12)]
    (offer,) = speaking_offers(run.compiled.plan, lines, heard)
    assert offer.words == "You speak 100 words a minute; the plan has 150."
    assert offer.fields == {"words_per_minute": 100}
    assert speaking_offers(run.compiled.plan, lines, heard[:11]) == ()
