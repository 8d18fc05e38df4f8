"""Makes Inter-Regular.ttf and Inter-SemiBold.ttf of the OTF files beside it: ``python to_truetype.py``.

The PDF writer embeds TrueType outlines only, and these files have cubic ones. The letters kept are those of
Latin, Greek and Cyrillic with their accents, figures, arrows and signs. Needs fontTools, which nothing else
here does. The results are under the same licence as the originals (OFL.txt).
"""

from pathlib import Path

from fontTools import subset
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable

RANGES = (
    (0x20, 0x7F), (0xA0, 0x250), (0x370, 0x530), (0x1E00, 0x2070), (0x20A0, 0x20C0), (0x2100, 0x2150),
    (0x2190, 0x21B0), (0x2200, 0x2270), (0x25A0, 0x25D0),
)  # fmt: skip


def convert(source: Path, target: Path) -> None:
    """One font, its outlines within a thousandth of an em."""
    font = TTFont(source)
    options = subset.Options()
    options.layout_features = ["kern", "mark", "mkmk", "ccmp"]
    options.notdef_outline = True
    options.glyph_names = False
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[code for first, end in RANGES for code in range(first, end)])
    subsetter.subset(font)
    glyph_set, glyphs = font.getGlyphSet(), {}
    for name in font.getGlyphOrder():
        pen = TTGlyphPen(glyph_set)
        glyph_set[name].draw(Cu2QuPen(pen, 1.0, reverse_direction=True))
        glyphs[name] = pen.glyph()
    font["loca"] = newTable("loca")
    font["glyf"] = glyf = newTable("glyf")
    glyf.glyphOrder, glyf.glyphs = font.getGlyphOrder(), glyphs
    del font["CFF "]
    glyf.compile(font)
    most = font["maxp"]
    most.tableVersion, most.maxZones = 0x00010000, 1
    for name in (
        "maxTwilightPoints", "maxStorage", "maxFunctionDefs", "maxInstructionDefs", "maxStackElements",
        "maxSizeOfInstructions", "maxComponentElements",
    ):  # fmt: skip
        setattr(most, name, 0)
    font["post"].formatType = 3.0
    font.sfntVersion = "\x00\x01\x00\x00"
    font.save(target)


if __name__ == "__main__":
    for weight in ("Regular", "SemiBold"):
        here = Path(__file__).parent / f"Inter-{weight}.otf"
        convert(here, here.with_suffix(".ttf"))
