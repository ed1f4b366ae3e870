"""Marks as W3C Web Annotations (Data Model, Recommendation of 23 February 2017), out and in.

A target is a part of the picture: a FragmentSelector (Media Fragments URI 1.0, box in whole pixels) and an
SvgSelector (the exact shape) describe the same region, the box more coarsely. Coordinates are pixels of the
upright, full-size picture.
"""

from __future__ import annotations

import json
import math
import re
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import quote
from xml.etree.ElementTree import Element

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
from catalog_gui.domain.problem import BadInput

CONTEXT = "http://www.w3.org/ns/anno.jsonld"
FRAGMENTS = "http://www.w3.org/TR/media-frags/"
_SVG = "http://www.w3.org/2000/svg"
_XYWH = re.compile(r"xywh=(?:(pixel|percent):)?(\d+),(\d+),(\d+),(\d+)")
_IRI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:[^\s<>\"{}|\\^`]+")
_PATH = re.compile(r"[ML]?\s*(-?[\d.]+(?:e[-+]?\d+)?)[\s,]+(-?[\d.]+(?:e[-+]?\d+)?)\s*", re.IGNORECASE)

Json = dict[str, object]
Fragment = tuple[str, int, int, int, int]


def read_fragment(value: str) -> Fragment:
    """('pixel' or 'percent', x, y, width, height) from an xywh media fragment.

    Raises BadInput for anything but whole, non-negative numbers and for an empty box (Media Fragments 4.2.2).
    """
    found = _XYWH.fullmatch(value)
    if not found:
        raise BadInput(f"'{value}' is no media fragment of four whole numbers.")
    x, y, width, height = (int(number) for number in found.groups()[1:])
    if not (width and height):
        raise BadInput(f"'{value}' is an empty box.")
    if found[1] == "percent" and (x + width > 100 or y + height > 100):
        raise BadInput(f"'{value}' reaches beyond 100 percent.")
    return found[1] or "pixel", x, y, width, height


def write_fragment(outline: Outline, size: Size) -> str:
    """The smallest box of whole pixels around an outline, at least one pixel, inside the picture."""
    left, top, right, bottom = outline.box
    spans = []
    for low, high, limit in ((left, right, size[0]), (top, bottom, size[1])):
        start = min(max(0, math.floor(low)), limit - 1)
        spans.append((start, max(start + 1, min(limit, math.ceil(high))) - start))
    (x, width), (y, height) = spans
    return f"xywh=pixel:{x},{y},{width},{height}"


def _figure(value: float) -> str:
    return repr(value).removesuffix(".0")


def write_svg(outline: Outline, size: Size) -> str:
    """The outline as SVG text in the pixel size of the whole picture, without styling."""
    pairs = " ".join(f"{_figure(x)},{_figure(y)}" for x, y in outline.points)
    left, top, right, bottom = outline.box
    match outline.kind:
        case "point":
            shape = f'<circle cx="{_figure(left)}" cy="{_figure(top)}" r="1"/>'
        case "rectangle":
            shape = (
                f'<rect x="{_figure(left)}" y="{_figure(top)}" '
                f'width="{_figure(right - left)}" height="{_figure(bottom - top)}"/>'
            )
        case "ellipse":
            shape = (
                f'<ellipse cx="{_figure((left + right) / 2)}" cy="{_figure((top + bottom) / 2)}" '
                f'rx="{_figure((right - left) / 2)}" ry="{_figure((bottom - top) / 2)}"/>'
            )
        case "polygon":
            shape = f'<polygon points="{pairs}"/>'
        case _:
            shape = f'<polyline points="{pairs}"/>'
    return f'<svg xmlns="{_SVG}" viewBox="0 0 {size[0]} {size[1]}">{shape}</svg>'


def _numbers(element: Element, *names: str) -> list[float]:
    try:
        values = [float(element.get(name, "0")) for name in names]
    except ValueError as error:
        raise BadInput("A shape in this file has a coordinate that is no number.") from error
    if not all(math.isfinite(v) for v in values):
        raise BadInput("A shape in this file has a coordinate that is no number.")
    return values


def _pairs(text: str) -> tuple[tuple[float, float], ...]:
    try:
        values = [float(v) for v in re.split(r"[\s,]+", text.strip()) if v]
    except ValueError as error:
        raise BadInput("A shape in this file has a coordinate that is no number.") from error
    if len(values) % 2 or len(values) < 4 or not all(math.isfinite(v) for v in values):
        raise BadInput("A shape in this file has a broken list of points.")
    return tuple(zip(values[::2], values[1::2], strict=True))


def _path(text: str) -> Outline:
    closed = text.strip()[-1:] in {"z", "Z"}
    body = text.strip().rstrip("zZ").strip()
    if not body.startswith("M") or re.sub(_PATH, "", body):
        raise BadInput("A path in this file has curves; only straight lines can be read.")
    points = tuple((float(x), float(y)) for x, y in _PATH.findall(body))
    if len(points) < 2:
        raise BadInput("A path in this file has no length.")
    return Outline("polygon" if closed and len(points) > 2 else "line", points)


def _parse_svg(text: str) -> Element:
    root = parse_xml(text, "An SVG selector")
    if root.tag not in {f"{{{_SVG}}}svg", "svg"}:
        raise BadInput("An SVG selector does not hold SVG.")
    return root


def read_svg(text: str) -> Outline:
    """The first shape of an SVG selector. Raises BadInput for broken text, hostile XML or curved paths."""
    for element in _parse_svg(text).iter():
        name = str(element.tag).rpartition("}")[2]
        if name == "rect":
            x, y, width, height = _numbers(element, "x", "y", "width", "height")
            return Outline("rectangle", ((x, y), (x + width, y + height)))
        if name in {"ellipse", "circle"}:
            cx, cy = _numbers(element, "cx", "cy")
            rx, ry = _numbers(element, "rx", "ry") if name == "ellipse" else _numbers(element, "r", "r")
            return Outline("ellipse", ((cx - rx, cy - ry), (cx + rx, cy + ry)))
        if name in {"polygon", "polyline"}:
            points = _pairs(element.get("points", ""))
            return Outline("polygon" if name == "polygon" and len(points) > 2 else "line", points)
        if name == "line":
            x1, y1, x2, y2 = _numbers(element, "x1", "y1", "x2", "y2")
            return Outline("line", ((x1, y1), (x2, y2)))
        if name == "path":
            return _path(element.get("d", ""))
    raise BadInput("An SVG selector holds no shape.")


def iri_for(mark_id: str) -> str:
    """An IRI for a mark: urn:uuid where its id is one, else a name of our own."""
    try:
        return uuid.UUID(mark_id).urn
    except ValueError:
        return f"urn:x-foray-bench:mark:{quote(mark_id, safe='', errors='surrogatepass')}"


def to_annotation(mark: Mark, source: str, size: Size) -> Json:
    """One mark as an annotation of the picture `source` (an IRI) of upright `size` in pixels.

    Raises BadInput for a mark without points, a picture without size and a source that is no IRI.
    """
    if size[0] <= 0 or size[1] <= 0:
        raise BadInput("A picture without size cannot bear marks.")
    if not _IRI.fullmatch(source):
        raise BadInput(f"'{source}' does not name a picture as an IRI.")
    outline = outline_of(mark)
    bodies: list[Json] = []
    words = mark.label or mark.note
    if words:
        bodies.append(
            {"type": "TextualBody", "purpose": "describing", "format": "text/plain", "value": words}
        )
    tags = (tag for tag in (mark.part, mark.feature, mark.state) if tag)
    bodies.extend({"type": "TextualBody", "purpose": "tagging", "value": tag} for tag in tags)
    bodies.append({"type": "TextualBody", "format": "application/json", "value": record_of(mark)})
    return {
        "@context": CONTEXT,
        "id": iri_for(mark.id),
        "type": "Annotation",
        "motivation": "describing",
        "body": bodies,
        "target": {
            "type": "SpecificResource",
            "source": source,
            "selector": [
                {
                    "type": "FragmentSelector",
                    "conformsTo": FRAGMENTS,
                    "value": write_fragment(outline, size),
                },
                {"type": "SvgSelector", "value": write_svg(outline, size)},
            ],
        },
    }


def to_document(marks: Iterable[tuple[Mark, str, Size]], *, iri: str, label: str = "") -> str:
    """Many marks as one AnnotationCollection in JSON-LD text; each comes with its picture's IRI and size."""
    items = [to_annotation(mark, source, size) for mark, source, size in marks]
    for item in items:
        del item["@context"]
    collection: Json = {
        "@context": CONTEXT,
        "id": iri,
        "type": "AnnotationCollection",
        "total": len(items),
        "first": {"id": f"{iri}:page:1", "type": "AnnotationPage", "startIndex": 0, "items": items},
    }
    if label:
        collection["label"] = label
    return json.dumps(collection, indent=1)


def _listed(value: object) -> list[object]:
    if value is None:
        return []
    return list(value) if isinstance(value, list) else [value]


def validate(annotation: object, *, context_given: bool = False) -> tuple[str, ...]:
    """Why this is no valid annotation; empty if it is one. `context_given`: a collection around it has it."""
    if not isinstance(annotation, dict):
        return ("An annotation is a JSON object.",)
    reasons = []
    if not context_given and CONTEXT not in _listed(annotation.get("@context")):
        reasons.append(f"@context does not name {CONTEXT}.")
    if not isinstance(annotation.get("id"), str) or not _IRI.fullmatch(annotation["id"]):
        reasons.append("It needs exactly one id, an IRI.")
    if "Annotation" not in _listed(annotation.get("type")):
        reasons.append("Its type does not hold 'Annotation'.")
    if "body" in annotation and "bodyValue" in annotation:
        reasons.append("It has both body and bodyValue.")
    if "bodyValue" in annotation and not isinstance(annotation["bodyValue"], str):
        reasons.append("bodyValue is one text.")
    for body in _listed(annotation.get("body")):
        if not isinstance(body, (dict, str)):
            reasons.append("A body is an object or an IRI.")
        elif (
            isinstance(body, dict)
            and "TextualBody" in _listed(body.get("type"))
            and not isinstance(body.get("value"), str)
        ):
            reasons.append("A TextualBody has exactly one value, a text.")
    targets = _listed(annotation.get("target"))
    if not targets:
        reasons.append("It needs a target.")
    for target in targets:
        reasons.extend(_target_reasons(target))
    return tuple(reasons)


def _target_reasons(target: object) -> list[str]:
    if isinstance(target, str):
        return [] if _IRI.match(target) else ["A target that is a text must be an IRI."]
    if not isinstance(target, dict):
        return ["A target is an object or an IRI."]
    if "selector" in target and not isinstance(target.get("source"), (str, dict)):
        return ["A part of a picture needs the picture as its source."]
    reasons = []
    for selector in _listed(target.get("selector")):
        if not isinstance(selector, dict):
            continue  # the model allows an IRI here
        kinds, value = _listed(selector.get("type")), selector.get("value")
        try:
            if "FragmentSelector" in kinds and selector.get("conformsTo", FRAGMENTS) == FRAGMENTS:
                read_fragment(str(value))
            elif "SvgSelector" in kinds and value is not None:
                _parse_svg(str(value))
        except BadInput as problem:
            reasons.append(problem.reason)
    return reasons


@dataclass(frozen=True, slots=True)
class ReadMarks:
    """Marks that were read, and a sentence for each that was not."""

    marks: tuple[Mark, ...]
    problems: tuple[str, ...]


def from_document(text: str, *, photo_id: str, size: Size | None = None) -> ReadMarks:
    """Marks from JSON-LD: one annotation, a list, a page or a collection, ours or anybody's.

    Marks of ours keep the photo they were drawn on; foreign ones get `photo_id`. `size` (upright pixels) is
    needed for percent fragments. Raises BadInput if the text is no JSON.
    """
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadInput("This file holds no annotations that can be read.") from error
    marks: list[Mark] = []
    problems: list[str] = []
    for number, (annotation, given) in enumerate(_annotations(document, False), 1):
        reasons = validate(annotation, context_given=given)
        if reasons:
            problems.append(f"Annotation {number}: {' '.join(reasons)}")
            continue
        try:
            marks.append(_read_one(annotation, photo_id, size))
        except BadInput as problem:
            problems.append(f"Annotation {number}: {problem.reason}")
    return ReadMarks(tuple(marks), tuple(problems))


def _annotations(node: object, context_given: bool) -> Iterable[tuple[Json, bool]]:
    if isinstance(node, list):
        for item in node:
            yield from _annotations(item, context_given)
    elif isinstance(node, dict):
        given = context_given or CONTEXT in _listed(node.get("@context"))
        if "AnnotationCollection" in _listed(node.get("type")):
            yield from _annotations(node.get("first"), given)
        elif "items" in node:
            yield from _annotations(node["items"], given)
        else:
            yield node, given


def _words(bodies: Iterable[object], fallback: object) -> str:
    for body in bodies:
        if isinstance(body, dict) and body.get("format", "text/plain") != "application/json":
            return str(body.get("value", ""))
    return fallback if isinstance(fallback, str) else ""


def _read_one(annotation: Mapping[str, object], photo_id: str, size: Size | None) -> Mark:
    bodies = _listed(annotation.get("body"))
    own: Mark | None = None
    for body in bodies:
        if isinstance(body, dict) and body.get("format") == "application/json":
            own = own or mark_from_record(str(body.get("value")))
    target = _listed(annotation.get("target"))[0]
    selectors = _listed(target.get("selector")) if isinstance(target, dict) else []
    known = {str(s.get("type")): str(s.get("value")) for s in selectors if isinstance(s, dict)}
    outline: Outline | None = None
    if "SvgSelector" in known:
        # The record holds exact points and their order; it counts while the shape beside it is its own.
        if own is not None and read_svg(write_svg(outline_of(own), (1, 1))) == read_svg(known["SvgSelector"]):
            return own
        outline = read_svg(known["SvgSelector"])
    elif "FragmentSelector" in known:
        unit, x, y, width, height = read_fragment(known["FragmentSelector"])
        across, down = 1.0, 1.0
        if unit == "percent":
            if size is None:
                raise BadInput("The size of the picture is not known, and this mark is given in percent.")
            across, down = size[0] / 100, size[1] / 100
        outline = Outline("rectangle", ((x * across, y * down), ((x + width) * across, (y + height) * down)))
    if own is not None:
        return own if outline is None else with_outline(own, outline)
    if outline is None:
        raise BadInput("It does not point at a part of a picture.")
    label = _words(bodies, annotation.get("bodyValue"))
    return mark_from_outline(outline, id=str(annotation["id"]), photo_id=photo_id, label=label)
