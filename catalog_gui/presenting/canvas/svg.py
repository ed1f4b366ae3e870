"""Writes the picture with its marks as a vector file: SVG 1.1, marks as lines and text over the picture."""

from __future__ import annotations

import base64
from xml.sax.saxutils import escape, quoteattr

from catalog_gui.drawing.shapes import DASHED, DOTTED, Command, Shape
from catalog_gui.presenting.canvas.arranging import Arranged
from catalog_gui.presenting.canvas.look import CONTOUR, NOTE_INK, NOTE_PAPER, NOTE_PX, OUTER_CONTOUR
from catalog_gui.presenting.canvas.sketch import Note

_SVG = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink"


def svg_text(laid: Arranged, jpeg: bytes, title: str, *, font: str) -> str:
    """Write the whole file. Words stay text in `font`, or any sans-serif where that is not there."""
    width, height = laid.size
    unit, found = laid.unit, laid.sketch
    picture = base64.b64encode(jpeg).decode()
    spaces = f'xmlns="{_SVG}" xmlns:xlink="{_XLINK}"'
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg {spaces} version="1.1" {_size(width, height)} viewBox="0 0 {width} {height}">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
        f'<image x="{laid.left}" y="{laid.top}" {_size(laid.width, laid.height)}',
        f'xlink:href="data:image/jpeg;base64,{picture}"/>',
        '<g fill="none" stroke-linejoin="round" stroke-linecap="round">',
    ]
    for extra, colour in ((3.6, OUTER_CONTOUR), (2.0, CONTOUR)):
        lines += [_stroke(shape, colour, shape.width + extra * unit) for shape in found.strokes]
        lines += [_stroke(shape, colour, extra * unit) for shape in found.solids]
    lines += [_stroke(shape, shape.stroke, shape.width, dashes=True) for shape in found.strokes]
    lines += [f'<path d="{_d(shape.commands)}" fill="{shape.fill}"/>' for shape in found.solids]
    lines.append("</g>")
    for note in found.notes:
        lines += _note(note, unit, font)
    lines.append("</svg>")
    return "\n".join(lines) + "\n"


def _size(width: int, height: int) -> str:
    return f'width="{width}" height="{height}"'


def _d(commands: tuple[Command, ...]) -> str:
    return " ".join(" ".join([str(c[0]), *(f"{float(v):.2f}" for v in c[1:])]) for c in commands)


def _stroke(shape: Shape, colour: str, width: float, *, dashes: bool = False) -> str:
    pattern = ""
    if dashes and shape.line in {DASHED, DOTTED}:
        on, off = (5.0, 3.0) if shape.line == DASHED else (3.0, 2.0)
        pattern = f' stroke-dasharray="{on * width:.2f} {off * width:.2f}" stroke-linecap="butt"'
    return f'<path d="{_d(shape.commands)}" stroke="{colour}" stroke-width="{width:.2f}"{pattern}/>'


def _note(note: Note, unit: float, font: str) -> list[str]:
    left, top, right, bottom = note.box
    frame = (
        f'<rect x="{left:.2f}" y="{top:.2f}" width="{right - left:.2f}" height="{bottom - top:.2f}" '
        f'rx="{3 * unit:.2f}" '
    )
    size, pad = NOTE_PX * unit, 3.0 * unit
    high = (bottom - top - 2 * pad) / len(note.lines)
    made = [
        f'{frame}fill="none" stroke="{CONTOUR}" stroke-width="{3.4 * unit:.2f}"/>',
        f'{frame}fill="{NOTE_PAPER}" stroke="{note.colour}" stroke-width="{1.8 * unit:.2f}"/>',
    ]
    for row, words in enumerate(note.lines):
        y = top + pad + (row + 0.5) * high + 0.35 * size
        made.append(
            f'<text x="{(left + right) / 2:.2f}" y="{y:.2f}" text-anchor="middle" '
            f"font-family={quoteattr(f'{font}, sans-serif')} "
            f'font-size="{size:.2f}" font-weight="{600 if row == 0 else 400}" fill="{NOTE_INK}">'
            f"{escape(words)}</text>"
        )
    return made
