"""Reads a drawing with ezdxf and writes it anew, as another program that saves it again does.

    python written_anew.py IN.dxf OUT.dxf [polylines]

With the third word every closed POLYLINE becomes an LWPOLYLINE that begins elsewhere and runs the other way.
"""

import sys

import ezdxf

source, target, *how = sys.argv[1:]
old = ezdxf.readfile(source)
new = ezdxf.new("R2000")
for block in old.blocks:
    if block.name.startswith("*"):
        continue
    copy = new.blocks.new(block.name, base_point=block.block.dxf.base_point)
    for e in block:
        if not e.is_supported_dxf_attrib("layer"):
            continue  # an entity of some program's own, which another one loses
        layer = {"layer": e.dxf.get("layer", "0")}
        if e.dxftype() == "POLYLINE":
            points = [(v.dxf.location.x, v.dxf.location.y) for v in e.vertices]
            closed = e.is_closed
            if "polylines" in how and closed:
                half = len(points) // 2
                points = (points[half:] + points[:half])[::-1]
            copy.add_lwpolyline(points, close=closed, dxfattribs=layer)
        elif e.dxftype() == "LINE":
            copy.add_line(e.dxf.start, e.dxf.end, dxfattribs=layer)
        elif e.dxftype() == "POINT":
            kept = {k: e.dxf.get(k) for k in ("thickness", "angle") if e.dxf.hasattr(k)}
            copy.add_point(e.dxf.location, dxfattribs={**layer, **kept})
        elif e.dxftype() == "TEXT":
            copy.add_text(e.dxf.text, dxfattribs={**layer, "insert": e.dxf.insert, "height": e.dxf.height})
        else:
            sys.exit(f"{e.dxftype()} is not written anew here")
model = new.modelspace()
for e in old.modelspace():
    if e.dxftype() == "INSERT":
        model.add_blockref(e.dxf.name, e.dxf.insert, dxfattribs={"layer": e.dxf.layer})
    elif e.dxftype() == "TEXT":
        model.add_text(e.dxf.text, dxfattribs={"layer": e.dxf.layer, "insert": e.dxf.insert, "height": e.dxf.height})
new.saveas(target)
