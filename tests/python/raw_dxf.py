"""A DXF file as group codes and values, every byte of it kept."""

import numpy as np


def raw_pairs(data):
    """(code, value as written, code line as written, line ends) of every pair up to EOF, and the bytes after it."""
    lines, at = [], 0
    while at < len(data):
        end = data.find(b"\n", at)
        end = len(data) if end < 0 else end + 1
        lines.append(data[at:end])
        at = end
    pairs, i = [], 0
    while i + 1 < len(lines):
        code = int(lines[i])
        value = lines[i + 1]
        body = value.rstrip(b"\r\n")
        pairs.append((code, body, lines[i], value[len(body):]))
        i += 2
        if code == 0 and body.strip() == b"EOF":
            break
    return pairs, b"".join(lines[i:])


class Entity:
    """One entity with its pairs; a POLYLINE holds its vertices."""

    def __init__(self, pairs):
        self.pairs = pairs
        self.kind = pairs[0][1].strip().decode("latin1")
        self.vertices = []
        self.end = None

    def get(self, code):
        return next((v for c, v, *_ in self.pairs if c == code), None)

    def number(self, code):
        value = self.get(code)
        return None if value is None else float(value)

    @property
    def layer(self):
        return (self.get(8) or b"0").strip().decode("latin1")

    def point(self):
        x, y = self.number(10), self.number(20)
        return None if x is None or y is None else (x, y)


def entities_of(pairs):
    found, run = [], []
    for pair in pairs:
        if pair[0] == 0 and run:
            found.append(Entity(run))
            run = []
        run.append(pair)
    if run:
        found.append(Entity(run))
    nested, line = [], None
    for e in found:
        if e.kind == "POLYLINE":
            line = e
            nested.append(e)
        elif e.kind == "VERTEX" and line is not None:
            line.vertices.append(e)
        elif e.kind == "SEQEND" and line is not None:
            line.end = e
            line = None
        else:
            nested.append(e)
    return nested


class Raw:
    """The file as stretches: everything outside the blocks, and each block's pairs up to the end of its ENDBLK."""

    def __init__(self, data):
        pairs, self.tail = raw_pairs(data)
        self.outside, self.blocks = [], {}
        block, closing = None, False
        for pair in pairs:
            word = pair[1].strip() if pair[0] == 0 else b""
            if pair[0] == 0 and closing:
                name = next(v for c, v, *_ in block if c == 2).strip().decode("latin1")
                self.blocks[name] = block
                block, closing = None, False
            if word == b"BLOCK":
                block = []
            (self.outside if block is None else block).append(pair)
            closing = closing or word == b"ENDBLK"


def vertices(entity):
    """Coordinates of a polyline's vertices with their values as written."""
    if entity.kind == "POLYLINE":
        return [((v.number(10), v.number(20)), (v.get(10), v.get(20))) for v in entity.vertices]
    out, x = [], None
    for code, value, *_ in entity.pairs:
        if code == 10:
            x = value
        elif code == 20 and x is not None:
            out.append(((float(x), float(value)), (x, value)))
            x = None
    return out


def grain_of(entities):
    """The unit vector along a piece's grain line."""
    line = next(e for e in entities if e.layer == "7" and e.kind == "LINE")
    grain = np.array([line.number(11) - line.number(10), line.number(21) - line.number(20)])
    return grain / np.hypot(*grain)
