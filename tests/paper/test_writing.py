"""Every script on paper: read back by another program (poppler's pdftotext), and letter by letter."""

import re
import subprocess
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import getFont
from reportlab.platypus import SimpleDocTemplate

from showcaller.paper.typefaces import BOLD, REGULAR, fonts, typeface
from showcaller.paper.writing import Paragraph, in_order, runs, width

SAID = (
    "Standby Lights 64",
    "夜の灯台、第二章",
    "灯塔之夜：第三小节",
    "등대의 밤",
    "ليلة المنارة",
    "ליל המגדלור",
    "Φάρος της νύχτας",
    "Ночь маяка",
    "แสงเรือ",
    "Đêm hải đăng",
)


def style(size: float = 14) -> ParagraphStyle:
    return ParagraphStyle("said", fontName=fonts()[0], fontSize=size, leading=size * 1.4)


def read_back(paragraphs: list[Paragraph], folder: Path) -> list[str]:
    """The lines on the page as pdftotext has them: in the order they are read, letters for their forms."""
    path = folder / "said.pdf"
    SimpleDocTemplate(str(path)).build(list(paragraphs))
    text = subprocess.run(["pdftotext", path, "-"], capture_output=True, text=True, check=True).stdout
    plain = unicodedata.normalize("NFKC", re.sub("[\u200e\u200f\u202a-\u202e\u2066-\u2069]", "", text))
    return [line.strip() for line in plain.splitlines() if line.strip()]


@pytest.mark.system
def test_every_script_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    """Hebrew and Arabic too, though their letters stand the other way round on the page."""
    lines = read_back([Paragraph(text, style()) for text in SAID], tmp_path)
    # What stands at the right of the page is read after what stands at its left.
    assert sorted(lines) == sorted(unicodedata.normalize("NFKC", text) for text in SAID)
    fonts_in = subprocess.run(["pdffonts", tmp_path / "said.pdf"], capture_output=True, text=True, check=True)
    rows = [line.split() for line in fonts_in.stdout.splitlines()[2:] if "Helvetica" not in line]
    assert len(rows) == 6  # Inter, Hebrew, Arabic, Thai, Korean, Chinese and Japanese
    assert all(row[-5] == "yes" for row in rows)  # in the file


@pytest.mark.system
def test_a_line_too_long_goes_on_below_in_the_order_it_is_read(tmp_path: Path) -> None:
    said = "בערב יום קיץ אחד הדליק שומר המגדלור את האור הגדול מעל הנמל הישן"
    words = re.findall(r"\w+", said)
    lines = read_back([Paragraph(said, style(40))], tmp_path)
    assert len(lines) > 1
    assert re.findall(r"\w+", " ".join(lines)) == words


@pytest.mark.system
@pytest.mark.parametrize("word", ["harbour", "מגדלור", "灯塔"])
def test_what_fits_no_page_goes_on_on_the_next(tmp_path: Path, word: str) -> None:
    lines = read_back([Paragraph(" ".join([word] * 1500), style())], tmp_path)
    assert sum(line.count(word) for line in lines) == 1500


def test_brackets_face_the_way_the_text_runs() -> None:
    """UAX #9, L4."""
    assert in_order("שיר (גשר)") == "(רשג) ריש"
    assert in_order("Cue 7: שיר, go") == "Cue 7: ריש, go"
    assert in_order("שיר 12") == "12 ריש"
    assert in_order("2  שיר") == "2  ריש"  # a number before a name stays before it


def test_what_no_typeface_has_is_named_and_never_a_box() -> None:
    assert "".join(part for _, part in runs("solo नमस्ते दुनिया", REGULAR)) == "solo [Devanagari] "
    assert runs("\ue000x", REGULAR) == [(REGULAR, "x")]  # a private letter has no name either


def test_tags_stay_around_what_they_were_around(tmp_path: Path) -> None:
    marked = Paragraph("Cue &lt;7&gt; <font color='#566068'>ליל אור</font> and 夜", style())
    marked.wrap(300, 100)
    assert "Cue <7>" in marked.getPlainText()
    assert "רוא ליל" in marked.getPlainText()


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_categories=("Cs", "Cn", "Co")), max_size=40))
def test_every_letter_stands_in_a_typeface_that_has_it(text: str) -> None:
    for bold in (REGULAR, BOLD):
        for name, part in runs(text, bold):
            letters = getFont(name).face.charToGlyph
            assert all(ord(letter) in letters for letter in part), (name, part)
    assert width(text, REGULAR, 10) >= 0


def test_of_one_weight_is_only_what_has_but_one() -> None:
    fonts()
    assert typeface("ל", BOLD) == "Noto Sans Hebrew bold"
    assert typeface("夜", BOLD) == "Droid Sans Fallback bold"
    assert typeface("a", BOLD) == BOLD
