"""Colours that can be read: contrast by WCAG, and at least 7:1 for everything that is spoken."""

import pytest

from showcaller.desk.theme import contrast, luminance, read_theme, theme
from showcaller.model.people import Hue

SPOKEN = ("strong", "text", "standby", "caution", "accent", "missed")
"""Tones of what the caller says aloud or must act on."""
GROUNDS = ("ground", "panel", "raised", "accent_ground", "standby_ground")
"""What the call area lays under them."""


# WCAG 2.1: the formula and 21:1 are the recommendation's own, 1.4.6 (level AAA) asks for 7:1. The other
# figures are the formula's, rounded; #767676 is the lightest grey that passes 4.5:1 on white, #777777 fails.
@pytest.mark.parametrize(
    ("colour", "ratio"),
    [
        ("#000000", 21),
        ("#FFFFFF", 1),
        ("#777777", 4.478),
        ("#767676", 4.542),
        ("#949494", 3.033),
        ("#959595", 2.995),
        ("#FF0000", 3.998),
        ("#0000FF", 8.592),
    ],
)
def test_contrast_on_white_is_as_wcag_works_it_out(colour, ratio):
    assert contrast(colour, "#FFFFFF") == pytest.approx(ratio, abs=0.0005)
    assert contrast("#FFFFFF", colour) == contrast(colour, "#FFFFFF")


# The hues of Okabe and Ito (2008) on white, by the same formula.
@pytest.mark.parametrize(
    ("colour", "ratio"),
    [
        ("#E69F00", 2.25), ("#56B4E9", 2.31), ("#009E73", 3.42), ("#F0E442", 1.32), ("#0072B2", 5.19),
        ("#D55E00", 3.87), ("#CC79A7", 3.06),
    ],
)  # fmt: skip
def test_contrast_of_the_okabe_ito_hues_on_white(colour, ratio):
    assert contrast(colour, "#FFFFFF") == pytest.approx(ratio, abs=0.005)


# ITU-R BT.709: the weights of red, green and blue in luminance.
def test_luminance_weighs_red_green_and_blue_as_bt_709_does():
    primaries = [luminance(c) for c in ("#FF0000", "#00FF00", "#0000FF")]
    assert primaries == pytest.approx([0.2126, 0.7152, 0.0722])
    assert luminance("#FFFFFF") == pytest.approx(1)


# IEC 61966-2-1 (sRGB): 10, 128 and 188 of 255 in linear light.
@pytest.mark.parametrize(("code", "linear"), [(10, 0.00303527), (128, 0.215861), (188, 0.502886)])
def test_luminance_of_greys_follows_the_srgb_curve(code, linear):
    assert luminance(f"#{code:02X}{code:02X}{code:02X}") == pytest.approx(linear, abs=1e-6)


@pytest.mark.parametrize("name", ["dark", "night"])
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("tone", SPOKEN)
def test_what_is_spoken_stands_out_seven_to_one(tone, ground, name):
    colours = read_theme(name).colours
    assert contrast(colours[tone], colours[ground]) >= 7


@pytest.mark.parametrize("tone", ["accent", "standby", "caution", "missed"])
def test_on_a_lit_box_the_words_stand_out_as_well(tone):
    for name in ("dark", "night"):
        assert contrast(read_theme(name).colours[tone], read_theme(name).ground) >= 7


def test_night_colours_are_dimmer_and_redder():
    usual, night = read_theme("dark").colours, read_theme("night").colours
    assert luminance(night["strong"]) < 0.6 * luminance(usual["strong"])
    for name, colour in night.items():
        red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
        assert red >= green >= blue, name


@pytest.mark.parametrize("ground", GROUNDS)
def test_quiet_words_can_still_be_read(ground):
    assert contrast(theme().quiet, theme().colours[ground]) >= 4.5  # WCAG 2.1, 1.4.3 (level AA)


@pytest.mark.parametrize("hue", Hue.__args__)
def test_every_departments_hue_is_in_the_theme_and_stands_out_on_its_ground(hue):
    for ground in GROUNDS:
        assert contrast(theme().hues[hue], theme().colours[ground]) >= 4.5


def test_the_ground_is_made_for_a_dark_house():
    """Near black: under two hundredths of white's light (common practice, no source)."""
    assert luminance(theme().ground) < 0.02


def test_a_colour_that_is_not_in_the_theme_is_an_error():
    with pytest.raises(AttributeError, match="chartreuse"):
        _ = theme().chartreuse
