"""What is said and how long it takes."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.model import Cue, Department, Song, TimeAnchor
from showcaller.timing.plan import compile_item
from showcaller.timing.speech import Naming, number_words, speaking_s, spoken_number, word_count

DEPARTMENTS = tuple(
    Department(id=name.lower().replace(" ", "-"), name=name, letters=name[0], shape="circle", hue="sky")
    for name in ("Lights", "Video", "Follow Spots")
)


def naming(*cues):
    """Naming for cues given as "lights 64", at one second after another."""
    made = []
    for n, text in enumerate(cues):
        department, number = text.rsplit(" ", 1)
        anchor = TimeAnchor(at="time", seconds=n)
        made.append(Cue(id=f"c{n}", department=department, number=number, label=text, anchor=anchor))
    item = Song(kind="song", id="song", name="Song", length_s=300, cues=tuple(made))
    return Naming(compile_item(item, "25"), DEPARTMENTS)


# English number words from memory; figures above 99 in pairs, as cues are called: common practice, no source.
@pytest.mark.parametrize(
    ("number", "words"),
    [
        ("0", "zero"),
        ("7", "seven"),
        ("13", "thirteen"),
        ("40", "forty"),
        ("64", "sixty four"),
        ("12.5", "twelve point five"),
        ("12.05", "twelve point zero five"),
        ("100", "one hundred"),
        ("105", "one oh five"),
        ("235.6", "two thirty five point six"),
        ("1000", "one thousand"),
        ("1001", "ten oh one"),
        ("1204", "twelve oh four"),
        ("1900", "nineteen hundred"),
        ("99999", "nine ninety nine ninety nine"),
    ],
)
def test_numbers_are_read_out(number, words):
    assert number_words(number) == words
    assert spoken_number(Decimal(number)) == words


def test_no_two_cue_numbers_sound_the_same():
    assert len({number_words(str(n)) for n in range(100_000)}) == 100_000


@pytest.mark.parametrize("bad", ["", "-1", "1.", "1234567", "1e3", "x", "٣"])
def test_what_cannot_be_read_out_is_refused(bad):
    with pytest.raises(ValueError, match=r"cannot be read out; give up to six figures"):
        number_words(bad)


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("Standby Lights 64, Video 31 and Spots 10", 10),
        ("Lights 65 to 67", 6),
        ("Deck 12.5, go", 5),
        ("Here's the bridge – go!", 4),
        ("Follow-spots 2", 3),
        ("Part 12345678", 9),
        ("", 0),
    ],
)
def test_words_are_counted_as_spoken(text, count):
    assert word_count(text) == count


def test_speaking_rate_in_published_table():
    # A speech-length table (calculator page): at 130 words a minute, 650 words take 5 min, 500 take 3.8 min.
    assert speaking_s("word " * 650, 130) == 5 * 60
    assert float(speaking_s("word " * 500, 130)) / 60 == pytest.approx(3.8, abs=0.05)
    # Conversational English, 150 words a minute: National Center for Voice and Speech.
    assert speaking_s("Standby Lights 64", 150) == Fraction(4 * 60, 150)


# How cues are strung together aloud: common practice, no source.
def test_one_cue_of_each_department():
    say = naming("lights 64", "video 31", "follow-spots 10")
    assert say.standby("standby", [0, 1, 2]) == "Standby Lights 64, Video 31 and Follow Spots 10"
    assert say.go([0, 1]) == "Lights 64, Video 31, go"
    assert say.standby("warning", [2]) == "Warning Follow Spots 10"
    assert say.name(1) == "Video 31"


def test_three_numbers_in_a_row_are_a_run_and_two_are_not():
    say = naming("lights 65", "lights 66", "lights 67", "lights 68")
    assert say.standby("standby", [0, 1, 2]) == "Standby Lights 65 to 67"
    assert say.standby("standby", [0, 1]) == "Standby Lights 65 and 66"
    assert say.standby("standby", [0, 1, 3]) == "Standby Lights 65, 66 and 68"


def test_a_run_never_swallows_a_cue_in_between():
    say = naming("lights 65", "lights 65.5", "lights 66", "lights 67")
    assert say.standby("standby", [0, 2, 3]) == "Standby Lights 65, 66 and 67"


def test_lists_inside_a_list_are_kept_apart():
    say = naming("lights 65", "video 1", "lights 70")
    assert say.standby("standby", [0, 1, 2]) == "Standby Lights 65 and 70, and Video 1"


def test_a_department_is_spoken_as_it_says():
    says = Department(id="lights", name="LX", says="Electrics", letters="LX", shape="bar", hue="pink")
    item = Song(kind="song", id="s", name="S", length_s=9, cues=(
        Cue(id="a", department="lights", number=1, label="a", anchor=TimeAnchor(at="time", seconds=1)),
    ))  # fmt: skip
    assert Naming(compile_item(item, "25"), [says]).go([0]) == "Electrics 1, go"


@given(
    st.lists(
        st.tuples(st.sampled_from(["lights", "video", "follow-spots"]), st.integers(1, 12), st.booleans()),
        min_size=1,
        max_size=12,
        unique=True,
    ),
    st.data(),
)
def test_counting_without_the_text_agrees_with_the_text(cues, data):
    say = naming(*(f"{department} {number}{'.5' if half else ''}" for department, number, half in cues))
    places = sorted(data.draw(st.sets(st.sampled_from(range(len(cues))), min_size=1)))
    assert say.standby_words(places) == word_count(say.standby("standby", places))
    # In any order, such as that in which they are due.
    mixed = data.draw(st.permutations(places))
    each = [word_count(say.standby("standby", sorted(mixed[:n]))) for n in range(1, len(mixed) + 1)]
    assert say.growing_standby_words(mixed) == each
    assert say.go_words(places) == word_count(say.go(places))
