"""Prints the length of the sew lines (layer 14) of a block: sew_lines.py DRAWING BLOCK."""
import sys

import ezdxf
from shapely.geometry import LinearRing

block = ezdxf.readfile(sys.argv[1]).blocks[sys.argv[2]]
lines = block.query('POLYLINE[layer=="14"]')
print(sum(LinearRing([v.dxf.location.vec2 for v in line.vertices]).length for line in lines))
