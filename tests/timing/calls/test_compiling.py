"""Call sheets: windows, reactions, collisions and their remedies."""

import random
import re
from fractions import Fraction
from itertools import pairwise

import pytest

from showcaller.model import (
    AfterAnchor,
    BarAnchor,
    Cue,
    Department,
    Show,
    Song,
    Speaking,
    Talk,
    TempoMark,
    TimeAnchor,
    VisualAnchor,
)
from showcaller.timing.calls.compiling import compile_calls, compile_show_calls, go_text, spoken_intervals
from showcaller.timing.plan import compile_item, compile_plan

SPEAKING = Speaking()  # 150 words a minute: 0.4 s a word; a breath of 0.25 s; at most 20 s early
LIGHTS, VIDEO, SPOTS, SOUND, DECK = DEPARTMENTS = tuple(
    Department(id=name.lower(), name=name, letters=name[:2], shape="circle", hue="sky", reaction_s=reaction)
    for name, reaction in (("Lights", 0), ("Video", "1/5"), ("Spots", 0), ("Sound", 0), ("Deck", "1/2"))
)


def cue(text, at=None, **fields):
    """A cue given as "lights 64", by default anchored ``at`` seconds."""
    department, number = text.split()
    anchor = fields.pop("anchor", None) or TimeAnchor(at="time", seconds=at)
    name = text.replace(" ", "-")
    return Cue(id=name, department=department, number=number, label=text, anchor=anchor, **fields)


def song(*cues, length=240, name="Iron", **fields):
    return Song(kind="song", id=name.lower(), name=name, length_s=length, cues=cues, **fields)


def sheet_of(item, speaking=SPEAKING):
    return compile_calls(compile_item(item, "25"), DEPARTMENTS, speaking)


def texts(sheet, what):
    return [line.text for line in sheet.lines if line.what == what]


# --- what is said ---------------------------------------------------------------------------------------


def test_one_standby_for_three_departments_and_one_go():
    sheet = sheet_of(song(cue("lights 64", 60), cue("video 31", 60), cue("spots 10", 60)))
    assert [line.text for line in sheet.lines] == [
        "Iron, go",
        "Standby Lights 64, Video 31 and Spots 10",
        "Lights 64, Video 31, Spots 10, go",
    ]
    assert sheet.collisions == ()
    start, standby, go = sheet.lines
    assert (start.cues, start.go, start.lands_s) == ((), 0, 0)
    assert (standby.cues, standby.go, standby.takes_s) == ((0, 1, 2), None, 4)
    # The slowest of the departments that share the go, Video, needs 0.2 s.
    assert (go.cues, go.go, go.lands_s) == ((0, 1, 2), 1, Fraction(60) - Fraction(1, 5))
    assert go.starts_s == go.lands_s - go.takes_s
    assert go.takes_s == Fraction(4, 10) * 9
    # Said as late as the least lead of 8 s allows.
    assert standby.lands_s == go.lands_s - 8


def test_a_cue_at_the_items_start_is_its_first_go():
    sheet = sheet_of(song(cue("lights 1", 0)))
    assert texts(sheet, "go") == ["Lights 1, go"]
    assert texts(sheet, "standby") == ["Standby Lights 1"]
    assert sheet.lines[0].lands_s == -8


def test_neighbouring_standbys_share_an_utterance():
    sheet = sheet_of(song(cue("lights 65", 60), cue("lights 66", 66), cue("lights 67", 72)))
    assert texts(sheet, "standby") == ["Standby Lights 65 to 67"]
    # Three cues 25 s apart have no moment in common.
    sheet = sheet_of(song(cue("lights 65", 60), cue("lights 66", 85), cue("lights 67", 110)))
    assert len(texts(sheet, "standby")) == 3


def test_a_warning_comes_before_its_standby():
    sheet = sheet_of(song(cue("deck 4", 100, warning_s=30, standby_s=10)))
    assert [line.text for line in sheet.lines] == [
        "Iron, go",
        "Warning Deck 4",
        "Standby Deck 4",
        "Deck 4, go",
    ]
    lands = Fraction(100) - Fraction(1, 2)
    assert [line.lands_s for line in sheet.lines] == [0, lands - 30, lands - 10, lands]


def test_a_warning_as_short_as_the_standby_is_still_said_first():
    sheet = sheet_of(song(cue("deck 4", 100, warning_s=8, standby_s=8)))
    warning, standby = (line for line in sheet.lines if line.what != "go")
    assert (warning.what, standby.what) == ("warning", "standby")
    assert warning.lands_s + SPEAKING.breath_s <= standby.starts_s


def test_cues_that_fire_by_themselves_have_no_lines():
    follow = AfterAnchor(at="after", cue="lights-1")
    item = song(cue("lights 1", 60), cue("video 1", anchor=follow, fires="by itself"))
    sheet = sheet_of(item)
    assert texts(sheet, "go") == ["Iron, go", "Lights 1, go"]
    assert texts(sheet, "standby") == ["Standby Lights 1"]


def test_a_visual_go_is_expected_at_its_guess():
    seen = VisualAnchor(at="visual", sees="hands up", expect_s=50)
    sheet = sheet_of(song(cue("lights 1", anchor=seen)))
    assert sheet.lines[-1].lands_s == 50
    assert sheet.lines[-2].lands_s == 42


def test_load_is_the_share_of_the_item_spent_speaking():
    sheet = sheet_of(song(cue("lights 64", 60), length=120))
    # "Iron, go" is said before the item starts; "Standby Lights 64" and "Lights 64, go" are four words each.
    assert sheet.load == Fraction(2 * 4 * 4, 10) / 120
    assert [end - start for start, end in spoken_intervals(sheet)] == [
        Fraction(8, 10),
        *[Fraction(16, 10)] * 2,
    ]


def test_a_rate_of_speaking_that_is_no_round_number_stays_exact():
    sheet = sheet_of(song(cue("lights 64", 60)), Speaking(words_per_minute=170))
    assert [line.takes_s for line in sheet.lines] == [Fraction(12, 17), Fraction(24, 17), Fraction(24, 17)]
    for line in sheet.lines:
        assert line.starts_s + line.takes_s == line.lands_s


def test_an_item_without_cues_has_only_its_start():
    sheet = sheet_of(song())
    assert [line.text for line in sheet.lines] == ["Iron, go"]
    assert sheet.load == 0


# --- collisions -----------------------------------------------------------------------------------------


def test_two_goes_too_close_to_be_said_collide():
    item = song(
        cue("spots 10", anchor=BarAnchor(at="bar", bar=71)),
        cue("sound 18", anchor=BarAnchor(at="bar", bar=71, beat=2)),
        tempo=(TempoMark(bar=1, bpm=120),),
    )
    planned = compile_item(item, "25")
    sheet = compile_calls(planned, DEPARTMENTS, SPEAKING)
    (collision,) = sheet.collisions
    assert collision.cues == (0, 1)
    assert collision.sentence == (
        "Bar 71: ‘Sound 18, go’ comes 0.5 s after ‘Spots 10, go’ and takes 1.5 s to call. Put both at one "
        "instant, let Sound 18 follow Spots 10, or make Sound 18 automatic."
    )
    assert texts(sheet, "go") == ["Iron, go", "Spots 10, go"]
    assert texts(sheet, "standby") == ["Standby Spots 10 and Sound 18"]
    assert go_text(planned, 2, DEPARTMENTS) == "Sound 18, go"


def test_a_go_left_out_is_kept_with_its_words_and_every_go_has_some():
    follow = AfterAnchor(at="after", cue="video-1", delay_s="1/2")
    sheet = sheet_of(song(cue("video 1", 20), cue("lights 1.5", anchor=follow)))
    assert texts(sheet, "go") == ["Iron, go", "Video 1, go"]
    (unsaid,) = sheet.unsaid
    assert (unsaid.text, unsaid.lands_s, unsaid.cues) == ("Lights 1.5, go", Fraction(41, 2), (1,))
    assert unsaid.lands_s - unsaid.starts_s == unsaid.takes_s == 2
    assert [line.text for line in sheet.goes] == ["Iron, go", "Video 1, go", "Lights 1.5, go"]
    assert [line.go for line in sheet.goes] == [0, 1, 2]


@pytest.mark.parametrize("code", [None, "01:00:00:00"])
def test_a_called_cue_that_follows_already_is_advised_to_fire_by_itself(code):
    follow = AfterAnchor(at="after", cue="video-1", delay_s="1/2")
    item = song(cue("video 1", 20), cue("lights 1.5", anchor=follow), timecode_start=code)
    (collision,) = sheet_of(item).collisions
    assert collision.sentence.endswith(
        "takes 2.3 s to call. Put both at one instant, or make Lights 1.5 automatic (it follows Video 1 "
        "already: set ‘fires’ to ‘automatic’)."
    )
    freed = song(cue("video 1", 20), cue("lights 1.5", anchor=follow, fires="by itself"))
    assert sheet_of(freed).collisions == ()


def test_a_standby_lost_by_a_cue_that_follows_is_not_advised_to_follow():
    follow = AfterAnchor(at="after", cue="spots-10", delay_s=8)
    sheet = sheet_of(song(cue("spots 10", 52), cue("sound 18", anchor=follow)), Speaking(early_s="1/2"))
    (collision,) = sheet.collisions
    assert "let Sound 18 follow" not in collision.sentence
    assert collision.sentence.endswith(
        "or make Sound 18 automatic (it follows Spots 10 already: set ‘fires’ to ‘automatic’)."
    )


def test_of_colliding_goes_the_most_cues_are_said():
    sheet = sheet_of(song(cue("spots 1", 60), cue("spots 2", 61), cue("lights 3", 61), cue("spots 4", 62)))
    assert texts(sheet, "go") == ["Iron, go", "Spots 2, Lights 3, go"]
    assert [c.cues for c in sheet.collisions] == [(0, 1, 2), (1, 2, 3)]


def test_a_standby_with_no_room_names_what_is_in_its_way_and_what_would_free_it():
    # The only windows, [51.5, 52] at the latest, are under ‘Spots 10, go’, said from 50.8 to 52.
    item = song(cue("spots 10", 52), cue("sound 18", 60), tempo=(TempoMark(bar=1, bpm=120),))
    sheet = sheet_of(item, Speaking(early_s="1/2"))
    (collision,) = sheet.collisions
    assert collision.sentence == (
        "Bar 27: ‘Spots 10, go’ falls while the standby for Sound 18 is being called. Call that standby 1 s "
        "earlier (a lead of 9 s), let Sound 18 follow Spots 10, or make Sound 18 automatic."
    )
    assert collision.cues == (0, 1)
    freed = song(cue("spots 10", 52), cue("sound 18", 60, standby_s=9), tempo=item.tempo)
    assert sheet_of(freed, Speaking(early_s="1/2")).collisions == ()
    follow = AfterAnchor(at="after", cue="spots-10", delay_s=8)
    freed = song(cue("spots 10", 52), cue("sound 18", anchor=follow, fires="by itself"), tempo=item.tempo)
    assert sheet_of(freed, Speaking(early_s="1/2")).collisions == ()


def test_without_tempo_a_collision_is_placed_by_the_clock_and_timecode_is_offered():
    item = song(cue("spots 10", 112), cue("sound 18", 120), timecode_start="01:00:00:00")
    (collision,) = sheet_of(item, Speaking(early_s="1/2")).collisions
    assert collision.sentence.startswith("1:52.0: ‘Spots 10, go’ falls while")
    assert collision.sentence.endswith("or let timecode fire Sound 18.")


def test_a_cue_too_soon_after_the_start_collides_with_the_items_own_go():
    (collision,) = sheet_of(song(cue("lights 1", 1))).collisions
    assert collision.sentence == (
        "0:01.0: ‘Lights 1, go’ comes 1 s after ‘Iron, go’ and takes 1.5 s to call. Put Lights 1 at the "
        "item's start, move it 0.5 s later, or make Lights 1 automatic."
    )
    assert sheet_of(song(cue("lights 1", "1.5"))).collisions == ()


# --- promises, on random songs --------------------------------------------------------------------------


def random_song(seed, cues=24, length=90):
    pick = random.Random(seed)
    numbers = dict.fromkeys((d.id for d in DEPARTMENTS), 0)
    made = []
    at = Fraction(0)
    for _ in range(cues):
        if pick.random() < 0.7:
            at += Fraction(pick.randint(0, int(2200 * length / cues)), 1000)
        department = pick.choice(DEPARTMENTS).id
        numbers[department] += 1
        extra = {"warning_s": Fraction(pick.randint(0, 40))} if pick.random() < 0.15 else {}
        fires = "by itself" if pick.random() < 0.1 else "called"
        lead = Fraction(pick.randint(0, 12))
        made.append(cue(f"{department} {numbers[department]}", at, standby_s=lead, fires=fires, **extra))
    return song(*made, length=at + 1)


@pytest.mark.parametrize("seed", range(40))
def test_every_promise_holds_on_random_songs(seed):
    planned = compile_item(random_song(seed), "25")
    speaking = Speaking(early_s=random.Random(seed).choice((2, 6, 20)))
    sheet = compile_calls(planned, DEPARTMENTS, speaking)
    for one, two in pairwise(sheet.lines):
        assert two.starts_s - one.lands_s >= speaking.breath_s
    reaction = {d.id: d.reaction_s for d in DEPARTMENTS}
    lands = {}
    for go in planned.goes:
        slowest = max((reaction[planned.cues[i].cue.department] for i in go.cues), default=0)
        lands |= dict.fromkeys(go.cues, go.at_s - slowest)
    said = {"go": set(), "standby": set(), "warning": set()}
    ends = {}
    for line in sheet.lines:
        assert line.starts_s + line.takes_s == line.lands_s
        assert not said[line.what] & set(line.cues)
        said[line.what] |= set(line.cues)
        for i in line.cues:
            lead = {
                "go": Fraction(0),
                "standby": planned.cues[i].cue.standby_s,
                "warning": planned.cues[i].cue.warning_s,
            }[line.what]
            early = speaking.early_s if line.what != "go" else 0
            assert lands[i] - lead - early <= line.lands_s <= lands[i] - lead
            ends[line.what, i] = line
    named = {i for collision in sheet.collisions for i in collision.cues}
    for i, one in enumerate(planned.cues):
        if one.automatic:
            assert not any(i in cues for cues in said.values())
            continue
        wanted = {"go", "standby"} | ({"warning"} if one.cue.warning_s is not None else set())
        for what in wanted:
            assert i in said[what] or i in named
        if i in said["warning"] and i in said["standby"]:
            assert ends["warning", i].lands_s < ends["standby", i].starts_s
    assert 0 <= sheet.load <= 1
    assert {line.go for line in sheet.goes} == set(range(len(planned.goes)))
    assert all(line.cues == planned.goes[line.go].cues for line in sheet.goes)
    assert len({line.id for line in sheet.lines}) == len(sheet.lines)


@pytest.mark.parametrize("seed", range(60))
def test_the_lead_that_a_collision_advises_frees_that_standby(seed):
    item = random_song(seed, cues=10, length=40)
    speaking = Speaking(early_s=3)
    sheet = sheet_of(item, speaking)
    for collision in sheet.collisions:
        advice = re.search(
            r"standby for (\w+) (\d+) .* standby [\d.]+ s earlier \(a lead of ([\d.]+) s\)",
            collision.sentence,
        )
        if advice is None:
            continue
        name, lead = f"{advice[1].lower()}-{advice[2]}", advice[3]
        changed = tuple(c.changed(standby_s=lead) if c.id == name else c for c in item.cues)
        after = sheet_of(item.changed(cues=changed), speaking)
        left_out = [c for c in sheet.collisions if "standby for" in c.sentence]
        assert len([c for c in after.collisions if "standby for" in c.sentence]) < len(left_out)


# --- the whole show -------------------------------------------------------------------------------------


def show_of(*items):
    return Show(
        format="showcaller/show", version=2, id="show", name="Show", act="Act", venue="Venue",
        starts_at="20:00", departments=DEPARTMENTS, items=items,
    )  # fmt: skip


def test_what_is_said_ahead_of_an_item_keeps_clear_of_the_one_before():
    first = song(cue("lights 1", 52), length=60, name="One")
    second = song(cue("sound 1", 0), length=60, name="Two")
    assert sheet_of(second).lines[0].lands_s == -8
    one, two = compile_show_calls(compile_plan(show_of(first, second)))
    # ‘Lights 1, go’ lands 8 s before the second item, just where its standby would end.
    assert one.lines[-1].lands_s == 52
    assert two.lines[0].text == "Standby Sound 1"
    assert two.lines[0].lands_s == 52 - 60 - Fraction(12, 10) - SPEAKING.breath_s


def test_a_last_go_at_the_very_end_does_not_collide_with_the_next_start():
    first = song(cue("lights 1", 60), length=60, name="One")
    sheets = compile_show_calls(
        compile_plan(show_of(first, Talk(kind="talk", id="talk", name="Talk", length_s=30)))
    )
    assert [sheet.collisions for sheet in sheets] == [(), ()]


def test_only_the_edited_item_is_compiled_again():
    items = [song(cue(f"lights {n}", 30), name=f"Song{n}", length=120) for n in range(1, 6)]
    before = compile_show_calls(compile_plan(show_of(*items)))
    items[2] = items[2].changed(cues=(cue("lights 3", 40),))
    after = compile_show_calls(compile_plan(show_of(*items)))
    assert [a is b for a, b in zip(before, after, strict=True)] == [True, True, False, True, True]


def test_a_change_of_reaction_or_of_speaking_is_noticed():
    planned = compile_item(song(cue("lights 64", 60)), "25")
    first = compile_calls(planned, DEPARTMENTS, SPEAKING)
    assert compile_calls(planned, DEPARTMENTS, SPEAKING) is first
    slow = (LIGHTS.changed(reaction_s=1), *DEPARTMENTS[1:])
    assert compile_calls(planned, slow, SPEAKING).lines[-1].lands_s == 59
    assert compile_calls(planned, DEPARTMENTS, Speaking(words_per_minute=75)).lines[-1].takes_s == Fraction(
        32, 10
    )


def test_between_the_steps_of_the_work_others_are_let_go_first():
    steps = []
    items = [random_song(seed, cues=12) for seed in (1, 2)]
    numbered = [
        item.changed(
            id=f"song-{n}",
            cues=[c.changed(id=f"{n}-{c.id}", number=c.number + 100 * n) for c in item.cues],
        )
        for n, item in enumerate(items)
    ]
    plan = compile_plan(show_of(*numbered))
    sheets = compile_show_calls(plan, lambda: steps.append(1))
    assert len(steps) > 4 * len(items)
    # No long way from one to the next: each collision that is explained lets others go first.
    assert len(steps) > sum(len(sheet.lines) + len(sheet.collisions) for sheet in sheets)
    steps.clear()
    assert compile_show_calls(plan, lambda: steps.append(1)) == sheets
    assert len(steps) == len(items)  # a look-up each
