"""Rebuild the board's maths font: a small subset of STIX Two Math as woff2.

The subset keeps the MATH table (a browser sets radicals, fractions and scripts with it) and only
the glyphs that a board can show. It is renamed, as its licence asks of a changed font.

Run: ``python assets/fonts/make_math_font.py [path to STIXTwoMath-Regular.ttf]``. Without a path the
font is taken from the ziamath package, which carries it unchanged.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

NAME = "Chalkwatt Math"
TARGET = Path(__file__).parents[2] / "kit" / "chalkwatt" / "boards" / "math.woff2"

DIGITS = "0123456789"
LATIN = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
GREEK = "ΔΩαβγδεηθκλμνπρστφωΦ"
OPERATORS = "+−×·∕/=≈±√()|,.<>≤≥–%‰°²³ \u00a0\u2009\u202f\u2061\u2062"
# Browsers show a one-letter name in the italic mathematical alphabet, so those are what is needed.
ITALIC_LATIN = "".join(
    "ℎ" if letter == "h" else chr(base + ord(letter) - first)
    for base, first, letters in ((0x1D434, 65, LATIN[:26]), (0x1D44E, 97, LATIN[26:]))
    for letter in letters
)
ITALIC_GREEK = (
    "".join(chr(0x1D6FC + ord(letter) - 0x3B1) for letter in "αβγδεηθκλμνπρστφω")
    + "\U0001d6e5\U0001d711"
)


def source() -> Path:
    """Return the path of the unchanged font."""
    if len(sys.argv) > 1:
        return Path(sys.argv[1])
    found = importlib.util.find_spec("ziamath")
    if found is None or found.origin is None:
        message = "Give the path of STIXTwoMath-Regular.ttf, or install ziamath, which carries it."
        raise SystemExit(message)
    return Path(found.origin).parent / "fonts" / "STIXTwoMath-Regular.ttf"


def shorten_variants(font: TTFont, most: int = 4) -> None:
    """Drop the largest stretched forms: no equation on a board is taller than four of them."""
    variants = font["MATH"].table.MathVariants
    for construction in variants.VertGlyphConstruction or []:
        construction.MathGlyphVariantRecord = construction.MathGlyphVariantRecord[:most]
        construction.VariantCount = len(construction.MathGlyphVariantRecord)


def main() -> None:
    """Write the subset and print its size."""
    font = TTFont(source(), recalcTimestamp=False)
    shorten_variants(font)
    options = subset.Options()
    options.layout_features = []
    options.hinting = False
    options.desubroutinize = True
    options.notdef_outline = False
    options.name_IDs = [0, 1, 2, 4, 5, 6, 13, 14]
    options.drop_tables += ["GPOS", "GSUB", "GDEF", "DSIG", "gasp"]
    cut = subset.Subsetter(options)
    cut.populate(text=DIGITS + LATIN + GREEK + OPERATORS + ITALIC_LATIN + ITALIC_GREEK)
    cut.subset(font)
    for record in font["name"].names:
        if record.nameID in {1, 4, 6}:
            record.string = NAME.replace(" ", "") if record.nameID == 6 else NAME
    font.flavor = "woff2"
    font.save(TARGET)
    sys.stdout.write(
        f"{TARGET.name}: {TARGET.stat().st_size} bytes, {len(font.getGlyphOrder())} glyphs\n"
    )


if __name__ == "__main__":
    main()
