"""Makes a font with one glyph, a square, for a letter that the built-in font lacks.

make_font.py quadratic|cubic FILE: TrueType or CFF outlines. fontTools is a part of ezdxf.
"""
import sys
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.pens.t2CharStringPen import T2CharStringPen
def square(pen):
    pen.moveTo((100, 0)); pen.lineTo((100, 700)); pen.lineTo((800, 700)); pen.lineTo((800, 0)); pen.closePath()
    return pen
names = ['.notdef', 'cloth']
cubic = sys.argv[1] == 'cubic'
fb = FontBuilder(1000, isTTF=not cubic)
fb.setupGlyphOrder(names)
fb.setupCharacterMap({0x88E4: 'cloth'})
if cubic:
    fb.setupCFF('Harbourcubic', {}, {n: square(T2CharStringPen(900, None)).getCharString() for n in names}, {})
else:
    fb.setupGlyf({n: square(TTGlyphPen(None)).glyph() for n in names})
fb.setupHorizontalMetrics({n: (900, 100) for n in names})
fb.setupHorizontalHeader(ascent=800, descent=-200)
fb.setupNameTable({'familyName': 'Harbour', 'styleName': 'Regular', 'psName': 'Harbour' + sys.argv[1]})
fb.setupOS2()
fb.setupPost()
fb.save(sys.argv[2])
