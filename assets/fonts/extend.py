#!/usr/bin/env python3
"""Adds signs that Noto Sans lacks to the faces in this folder.

Signs of reckoning are those of Noto Sans Mono, of the same family, grid and licence
(SIL Open Font License 1.1), as wide as the plus, so that a true minus lines up with
digits. Arrows are drawn here, with the stroke of the minus. Run once on Noto Sans as
it is published:
    apt-get install python3-fonttools fonts-noto-mono
    python3 extend.py NotoSans-Regular.ttf /usr/share/fonts/truetype/noto/NotoSansMono-Regular.ttf
    python3 extend.py NotoSans-Bold.ttf /usr/share/fonts/truetype/noto/NotoSansMono-Bold.ttf
"""
import sys

from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

RECKONING = "−≤≥≈≠√∞"
ARROWS = "←→↔"
ARROW, SIDE, HEAD, HALF = 860, 50, 260, 190  # advance, bearing, length and half height of a head


def add(face, sign, glyph, advance):
    name = "uni%04X" % ord(sign)
    glyph.recalcBounds(face["glyf"])
    face.setGlyphOrder(face.getGlyphOrder() + [name])
    face["glyf"][name] = glyph
    face["hmtx"][name] = (advance, glyph.xMin)
    for table in face["cmap"].tables:
        table.cmap[ord(sign)] = name


def copied(mono, sign, width):
    source = mono.getBestCmap()[ord(sign)]
    outline = DecomposingRecordingPen(mono.getGlyphSet())
    mono.getGlyphSet()[source].draw(outline)
    pen = TTGlyphPen(None)
    outline.replay(TransformPen(pen, (1, 0, 0, 1, (width - mono["hmtx"][source][0]) / 2, 0)))
    return pen.glyph()


def arrow(sign, low, high):
    pen, middle = TTGlyphPen(None), (low + high) // 2
    left, right = SIDE, ARROW - SIDE
    shaft = [left + (HEAD - 20 if sign in "←↔" else 0), right - (HEAD - 20 if sign in "→↔" else 0)]
    outlines = [[(shaft[0], low), (shaft[0], high), (shaft[1], high), (shaft[1], low)]]
    if sign in "→↔":
        outlines.append([(right, middle), (right - HEAD, middle - HALF), (right - HEAD, middle + HALF)])
    if sign in "←↔":
        outlines.append([(left, middle), (left + HEAD, middle + HALF), (left + HEAD, middle - HALF)])
    for points in outlines:
        pen.moveTo(points[0])
        for point in points[1:]:
            pen.lineTo(point)
        pen.closePath()
    return pen.glyph()


def main(path, other):
    face, mono = TTFont(path), TTFont(other)
    plus = face["hmtx"][face.getBestCmap()[ord("+")]][0]
    for sign in RECKONING:
        add(face, sign, copied(mono, sign, plus), plus)
    minus = face["glyf"]["uni2212"]
    for sign in ARROWS:
        add(face, sign, arrow(sign, minus.yMin, minus.yMax), ARROW)
    face.save(path)


main(*sys.argv[1:])
