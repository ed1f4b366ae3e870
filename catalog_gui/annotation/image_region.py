"""Marks as IPTC Image Regions in an XMP sidecar, out and in, as text.

IPTC Photo Metadata Standard, Extension 1.8, section 12.7. The standard does not say whether numbers
belong to the stored or to the displayed picture; ours belong to the stored one, before EXIF
orientation, and the sidecar says so. Rectangles, circles, points, lines and closed outlines stay what
they are; an ellipse becomes a polygon of 36 corners and an open line of three or more points the box
around it. Every mark also stands there in full.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, register_namespace, tostring

from catalog_gui.annotation import orientation as turn
from catalog_gui.annotation.hostile_xml import parse_xml
from catalog_gui.annotation.marks import Mark
from catalog_gui.annotation.outline import (
    Outline,
    Size,
    mark_from_outline,
    mark_from_record,
    outline_of,
    record_of,
    with_outline,
)
from catalog_gui.domain.plane import Point
from catalog_gui.domain.problem import BadInput

IPTC = "http://iptc.org/std/Iptc4xmpExt/2008-02-29/"
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
TIFF = "http://ns.adobe.com/tiff/1.0/"
OURS = "https://foray-bench.invalid/ns/mark/1.0/"
_XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"
_XMP = "adobe:ns:meta/"
_PREFIXES = {"x": _XMP, "rdf": RDF, "Iptc4xmpExt": IPTC, "tiff": TIFF, "foraybench": OURS}
_HEAD = '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'
_TAIL = '\n<?xpacket end="w"?>\n'
_CORNERS = 36
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
STORED = "Coordinates are those of the stored picture, before its EXIF orientation is applied."


def sidecar_name(picture: str, neighbours: Iterable[str]) -> str:
    """Name of a picture's sidecar: 'a.xmp' for 'a.jpg', but 'a.jpg.xmp' if there is another picture 'a.*'.

    `neighbours` are the picture names in the same folder (the picture itself may be among them).
    """
    stem = picture.rpartition(".")[0] or picture
    shared = any(
        other != picture and (other.rpartition(".")[0] or other).casefold() == stem.casefold()
        for other in neighbours
    )
    return f"{picture}.xmp" if shared else f"{stem}.xmp"


def _plain(text: str) -> str:
    """Text without what XML 1.0 does not allow."""
    return _FORBIDDEN.sub("", text)


def _iptc(name: str) -> str:
    return f"{{{IPTC}}}{name}"


def _rdf(name: str) -> str:
    return f"{{{RDF}}}{name}"


def _add(parent: Element, tag: str, text: str = "", **attributes: str) -> Element:
    """Add a child; attributes are those of RDF, by their local names."""
    child = SubElement(parent, tag, {_rdf(name): value for name, value in attributes.items()})
    if text:
        child.text = _plain(text)
    return child


def _stored(outline: Outline, stored: Size, orientation: int) -> Outline:
    return Outline(outline.kind, tuple(turn.to_stored(p, stored, orientation) for p in outline.points))


def _fraction(value: float, limit: int) -> str:
    return repr(min(1.0, max(0.0, value / limit)))


def _add_vertices(boundary: Element, points: Iterable[Point], stored: Size) -> None:
    sequence = _add(_add(boundary, _iptc("rbVertices")), _rdf("Seq"))
    for x, y in points:
        corner = _add(sequence, _rdf("li"), parseType="Resource")
        _add(corner, _iptc("rbX"), _fraction(x, stored[0]))
        _add(corner, _iptc("rbY"), _fraction(y, stored[1]))


def _ring(outline: Outline) -> tuple[Point, ...]:
    left, top, right, bottom = outline.box
    angles = (2 * math.pi * i / _CORNERS for i in range(_CORNERS))
    return tuple(
        (
            (left + right) / 2 + (right - left) / 2 * math.cos(a),
            (top + bottom) / 2 + (bottom - top) / 2 * math.sin(a),
        )
        for a in angles
    )


def _add_boundary(region: Element, outline: Outline, stored: Size) -> Element:
    """Add the RegionBoundary of an outline in stored pixels. A region reaching outside is cut at the edge."""
    left, top, right, bottom = outline.box
    width, height = right - left, bottom - top
    inside = [
        (min(max(0.0, x), float(stored[0])), min(max(0.0, y), float(stored[1])))
        for x, y in ((left, top), (right, bottom))
    ]
    flat = inside[0][0] == inside[1][0] or inside[0][1] == inside[1][1]
    whole = inside == [(left, top), (right, bottom)]
    box = outline.kind == "rectangle" or (outline.kind == "line" and len(outline.points) > 2)
    corners: Iterable[Point] = outline.points
    numbers: dict[str, str] = {}
    if outline.kind == "ellipse" and width == height and not flat and whole:
        shape = "circle"
        # The radius counts in units of the x-axis, also vertically (IPTC, Region Boundary Radius).
        numbers["rbX"] = _fraction((left + right) / 2, stored[0])
        numbers["rbY"] = _fraction((top + bottom) / 2, stored[1])
        numbers["rbRx"] = _fraction(width / 2, stored[0])
    elif box and not flat:
        shape = "rectangle"
        (x0, y0), (x1, y1) = inside
        numbers["rbX"], numbers["rbY"] = _fraction(x0, stored[0]), _fraction(y0, stored[1])
        numbers["rbW"], numbers["rbH"] = _fraction(x1 - x0, stored[0]), _fraction(y1 - y0, stored[1])
    else:
        shape = "polygon"
        corners = _ring(outline) if outline.kind == "ellipse" else inside if box else outline.points
    boundary = _add(region, _iptc("RegionBoundary"), parseType="Resource")
    _add(boundary, _iptc("rbShape"), shape)
    _add(boundary, _iptc("rbUnit"), "relative")
    for name, value in numbers.items():
        _add(boundary, _iptc(name), value)
    if not numbers:
        _add_vertices(boundary, corners, stored)
    return boundary


def _add_alternatives(parent: Element, words: str) -> None:
    if words:
        line = _add(_add(_add(parent, _iptc("Name")), _rdf("Alt")), _rdf("li"), words)
        line.set(_XML_LANG, "x-default")


def to_sidecar(marks: Iterable[Mark], stored: Size, orientation: int | None = 1) -> str:
    """The text of an XMP sidecar that carries the marks of one picture.

    `stored` is the stored width and height in pixels, `orientation` the EXIF value. Raises BadInput for a
    picture without size and a mark without points.
    """
    if stored[0] <= 0 or stored[1] <= 0:
        raise BadInput("A picture without size cannot bear marks.")
    value = turn.known(orientation)
    packet = Element(f"{{{_XMP}}}xmpmeta")
    description = _add(_add(packet, _rdf("RDF")), _rdf("Description"), about="")
    for name, number in (("Orientation", value), ("ImageWidth", stored[0]), ("ImageLength", stored[1])):
        _add(description, f"{{{TIFF}}}{name}", str(number))
    _add(description, f"{{{OURS}}}Coordinates", STORED)
    regions = _add(_add(description, _iptc("ImageRegion")), _rdf("Bag"))
    for mark in marks:
        region = _add(regions, _rdf("li"), parseType="Resource")
        _add_boundary(region, _stored(outline_of(mark), stored, value), stored)
        _add(region, _iptc("rId"), mark.id)
        _add_alternatives(region, mark.label)
        if mark.part:
            kinds = _add(_add(region, _iptc("rCtype")), _rdf("Bag"))
            _add_alternatives(_add(kinds, _rdf("li"), parseType="Resource"), mark.part)
        _add(region, f"{{{OURS}}}Record", record_of(mark))
    for prefix, space in _PREFIXES.items():
        register_namespace(prefix, space)
    return f"{_HEAD}{tostring(packet, encoding='unicode')}{_TAIL}"


@dataclass(frozen=True, slots=True)
class Sidecar:
    """Marks read from a sidecar, in upright pixels, and a sentence for each region that was left out."""

    marks: tuple[Mark, ...]
    problems: tuple[str, ...]


def _fields(node: Element) -> dict[str, Element | str]:
    """Fields of an RDF structure, however it is written: attributes, child elements, nested Description."""
    found: dict[str, Element | str] = {}
    found.update((k, v) for k, v in node.attrib.items() if not k.startswith(f"{{{RDF}}}") and k != _XML_LANG)
    for child in node:
        if child.tag == f"{{{RDF}}}Description":
            found.update(_fields(child))
        else:
            found[str(child.tag)] = child
    return found


def _text(value: Element | str | None) -> str:
    if isinstance(value, Element):
        lines = list(value.iter(f"{{{RDF}}}li"))
        default = next((item for item in lines if item.get(_XML_LANG) == "x-default"), None)
        chosen = default if default is not None else (lines[0] if lines else value)
        return (chosen.text or "").strip()
    return (value or "").strip()


def _number(fields: dict[str, Element | str], name: str) -> float:
    try:
        value = float(_text(fields.get(f"{{{IPTC}}}{name}")))
    except ValueError as error:
        raise BadInput(f"its {name} is no number.") from error
    if not math.isfinite(value):
        raise BadInput(f"its {name} is no number.")
    return value


def _outline(boundary: Element, stored: Size) -> Outline:
    """The outline of a RegionBoundary, in stored pixels."""
    fields = _fields(boundary)
    unit = _text(fields.get(f"{{{IPTC}}}rbUnit"))
    if unit not in {"relative", "pixel"}:
        raise BadInput("its unit is neither relative nor pixel.")
    across, down = stored if unit == "relative" else (1, 1)
    match _text(fields.get(f"{{{IPTC}}}rbShape")):
        case "rectangle":
            x, y, w, h = (_number(fields, name) for name in ("rbX", "rbY", "rbW", "rbH"))
            if not (w > 0 and h > 0):
                raise BadInput("its rectangle is empty.")
            return Outline("rectangle", ((x * across, y * down), ((x + w) * across, (y + h) * down)))
        case "circle":
            x, y, radius = (_number(fields, name) for name in ("rbX", "rbY", "rbRx"))
            cx, cy, r = x * across, y * down, radius * across
            if not r > 0:
                raise BadInput("its circle is empty.")
            return Outline("ellipse", ((cx - r, cy - r), (cx + r, cy + r)))
        case "polygon":
            seq = fields.get(f"{{{IPTC}}}rbVertices")
            items = list(seq.iter(f"{{{RDF}}}li")) if isinstance(seq, Element) else []
            corners = [_fields(item) for item in items]
            points = tuple((_number(c, "rbX") * across, _number(c, "rbY") * down) for c in corners)
            if not points:
                raise BadInput("its polygon has no corners.")
            return Outline("point" if len(points) == 1 else "line" if len(points) == 2 else "polygon", points)
    raise BadInput("its shape is none that the standard knows.")


def from_sidecar(text: str, *, photo_id: str, stored: Size, orientation: int | None = 1) -> Sidecar:
    """Marks from the text of an XMP sidecar, ours or anybody's.

    `stored` and `orientation` are those of the picture. Raises BadInput for text that is no well-formed
    XML; a single broken region is only named in `problems`.
    """
    root = parse_xml(text, "This sidecar")
    if stored[0] <= 0 or stored[1] <= 0:
        raise BadInput("A picture without size cannot bear marks.")
    value = turn.known(orientation)
    marks: list[Mark] = []
    problems: list[str] = []
    regions = [item for bag in root.iter(f"{{{IPTC}}}ImageRegion") for holder in bag for item in holder]
    for number, region in enumerate(regions, 1):
        try:
            marks.append(_read_region(region, photo_id, number, stored, value))
        except BadInput as problem:
            problems.append(f"Region {number} was left out: {problem.reason}")
    return Sidecar(tuple(marks), tuple(problems))


def _read_region(region: Element, photo_id: str, number: int, stored: Size, orientation: int) -> Mark:
    fields = _fields(region)
    boundary = fields.get(f"{{{IPTC}}}RegionBoundary")
    if not isinstance(boundary, Element):
        raise BadInput("it has no boundary.")
    found = _outline(boundary, stored)
    own = mark_from_record(_text(fields.get(f"{{{OURS}}}Record")))
    if own is not None:
        written = _add_boundary(Element(_rdf("li")), _stored(outline_of(own), stored, orientation), stored)
        if _outline(written, stored) == found:
            return own
    upright = Outline(found.kind, tuple(turn.to_upright(p, stored, orientation) for p in found.points))
    if own is not None:
        return with_outline(own, upright)
    label = _text(fields.get(f"{{{IPTC}}}Name"))
    region_id = _text(fields.get(f"{{{IPTC}}}rId")) or f"region-{number}"
    return mark_from_outline(upright, id=region_id, photo_id=photo_id, label=label)
