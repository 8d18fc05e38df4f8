"""Treatments typed and read back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.model import (
    Blur,
    ColourKey,
    Contrast,
    Crop,
    LumaKey,
    Mirror,
    Monochrome,
    Posterize,
    Tint,
)
from showcaller.screen.words import WordsError, crop_from, crop_text, treatments_from, treatments_text

COLOURS = st.integers(0, 0xFFFFFF).map(lambda n: f"#{n:06X}")
UNIT = st.integers(0, 100).map(lambda n: n / 100)
TENTHS = st.integers(0, 80).map(lambda n: n / 10)
PART = st.integers(1, 80).map(lambda n: n / 100)
TREATMENTS = st.one_of(
    st.builds(Tint, kind=st.just("tint"), dark=COLOURS, light=COLOURS),
    st.builds(Posterize, kind=st.just("posterize"), levels=st.integers(2, 64)),
    st.builds(Monochrome, kind=st.just("monochrome"), amount=UNIT),
    st.builds(Contrast, kind=st.just("contrast"), amount=TENTHS, pivot=UNIT),
    st.builds(Blur, kind=st.just("blur"), radius=st.integers(1, 20).map(lambda n: n / 100)),
    st.builds(Mirror, kind=st.just("mirror"), across=st.integers(1, 12), down=st.integers(1, 12)),
    st.builds(
        LumaKey, kind=st.just("luma key"), keep=st.sampled_from(["bright", "dark"]), cut=UNIT, soft=PART
    ),
    st.builds(ColourKey, kind=st.just("colour key"), colour=COLOURS, near=PART, far=PART),
)
HALF = st.integers(0, 49).map(lambda n: n / 100)


@given(st.lists(TREATMENTS, max_size=4).map(tuple))
def test_what_is_written_is_read_back(treatments: tuple[object, ...]) -> None:
    assert treatments_from(treatments_text(treatments)) == treatments


@given(st.builds(Crop, left=HALF, right=HALF, top=HALF))
def test_a_crop_is_read_back(crop: Crop) -> None:
    assert crop_from(crop_text(crop)) == crop


def test_short_words_take_what_is_usual() -> None:
    found = treatments_from("tint, Posterize, contrast 2")
    assert found == (Tint(kind="tint"), Posterize(kind="posterize"), Contrast(kind="contrast", amount=2))
    assert treatments_from("none") == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("sepia", "treatment: 'sepia' is none; any of, in order: tint"),
        ("posterize 900", "'posterize 900': levels is to be less than or equal to 64; type posterize 2"),
        ("tint, glow", "'glow' is none"),
        ("tint 4", "type tint #RRGGBB #RRGGBB, what is dark and what is light; not 'tint 4'"),
        ("contrast banana", "type contrast 1.5 around 50 %; not 'contrast banana'"),
    ],
)
def test_what_means_nothing_says_what_would_do(text: str, words: str) -> None:
    with pytest.raises(WordsError, match=words):
        treatments_from(text)
