"""Marks carried out and in: W3C Web Annotation (B4.9 to B4.12) and IPTC Image Region (B4.1 to B4.6)."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog_gui.annotation import image_region as iptc
from catalog_gui.annotation import web_annotation as wa
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.problem import BadInput

SOURCE = "urn:uuid:0b7c1d54-0f5e-4a0e-8a3d-7d0b7d1f0002"
BOX = Mark(
    "6f1d2c1e-6c3a-4b62-9d53-3d5c7a0f0a01",
    "p1",
    MarkKind.BODY,
    ((1000.0, 600.0), (1500.0, 1500.0)),
    "volva",
    part="base",
    feature="base.volva",
    state="sac",
)

coordinate = st.floats(-500, 6000) | st.integers(0, 4000).map(float)
point = st.tuples(coordinate, coordinate)
LEAST = {
    MarkKind.COLOUR: (1, 2),
    MarkKind.POLYGON: (3, 9),
    MarkKind.FREE: (2, 9),
    MarkKind.POLYLINE: (2, 9),
    MarkKind.ANGLE: (3, 3),
}


@st.composite
def marks(draw: st.DrawFn) -> Mark:
    kind = draw(st.sampled_from(list(MarkKind)))
    low, high = LEAST.get(kind, (2, 2))
    words = st.text(max_size=20)
    return Mark(
        draw(st.uuids().map(str) | st.text(min_size=1, max_size=12)),
        draw(st.text(max_size=8)),
        kind,
        tuple(draw(st.lists(point, min_size=low, max_size=high))),
        draw(words),
        draw(words),
        draw(words),
        draw(words),
        draw(words),
        draw(st.none() | st.floats(0.001, 1e6)),
        draw(st.none() | st.floats(0, 1e3)),
        draw(words),
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("xywh=160,120,320,240", ("pixel", 160, 120, 320, 240)),
        ("xywh=pixel:160,120,320,240", ("pixel", 160, 120, 320, 240)),
        ("xywh=percent:25,25,50,50", ("percent", 25, 25, 50, 50)),
    ],
)
def test_fragments_of_the_recommendation(text: str, expected: wa.Fragment) -> None:  # B4.9
    assert wa.read_fragment(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "xywh=percent:25,20,12.5,30",
        "xywh=-1,0,5,5",
        "xywh=1,2,3",
        "xywh=1,2,0,4",
        "xywh=1,2,3,0",
        "xywh=percent:60,0,50,10",
        "1,2,3,4",
    ],
)
def test_fragments_that_are_none(text: str) -> None:  # B4.9
    with pytest.raises(BadInput):
        wa.read_fragment(text)


def test_region_as_fragment_and_annotation() -> None:  # B4.10, B4.11, B4.12
    made = wa.to_annotation(BOX, SOURCE, (4000, 3000))
    assert wa.validate(made) == ()
    target = made["target"]
    assert isinstance(target, dict)
    assert target["selector"][0]["value"] == "xywh=pixel:1000,600,500,900"
    assert 'x="1000" y="600" width="500" height="900"' in target["selector"][1]["value"]
    assert made["id"] == f"urn:uuid:{BOX.id}"


EXAMPLE = {  # the minimal shape of check-values B4
    "@context": "http://www.w3.org/ns/anno.jsonld",
    "id": "urn:uuid:6f1d2c1e-6c3a-4b62-9d53-3d5c7a0f0a01",
    "type": "Annotation",
    "motivation": "describing",
    "body": {"type": "TextualBody", "value": "volva", "format": "text/plain", "language": "en"},
    "target": {
        "type": "SpecificResource",
        "source": SOURCE,
        "selector": [
            {
                "type": "FragmentSelector",
                "conformsTo": "http://www.w3.org/TR/media-frags/",
                "value": "xywh=pixel:1000,600,500,900",
            },
            {
                "type": "SvgSelector",
                "value": "<svg xmlns='http://www.w3.org/2000/svg'>"
                "<polygon points='1000,600 1500,600 1500,1500 1000,1500'/></svg>",
            },
        ],
    },
}


def broken(**changes: object) -> dict[str, object]:
    return {k: v for k, v in {**EXAMPLE, **changes}.items() if v is not None}


def test_foreign_example_is_valid_and_read() -> None:
    assert wa.validate(EXAMPLE) == ()
    read = wa.from_document(json.dumps(EXAMPLE), photo_id="p9")
    assert read.problems == ()
    (mark,) = read.marks
    assert (mark.label, mark.photo_id, mark.kind) == ("volva", "p9", MarkKind.POLYGON)
    assert mark.points == ((1000, 600), (1500, 600), (1500, 1500), (1000, 1500))


@pytest.mark.parametrize(
    "bad",
    [
        broken(id=None),
        broken(id=["urn:a:1", "urn:a:2"]),
        broken(id="not an iri"),
        broken(bodyValue="volva"),
        broken(body={"type": "TextualBody", "value": ["a", "b"]}),
        broken(
            target={"source": SOURCE, "selector": {"type": "SvgSelector", "value": "<svg><polygon></svg>"}}
        ),
        broken(target=None),
        broken(type="Note"),
        broken(**{"@context": "http://example.org"}),
        broken(target={"selector": {"type": "FragmentSelector", "value": "xywh=1,2,3,4"}}),
        "text",
    ],
)
def test_invalid_annotations_are_named(bad: object) -> None:  # B4.11, B4.12
    assert wa.validate(bad)
    read = wa.from_document(json.dumps(bad), photo_id="p")
    assert read.marks == ()


def test_percent_needs_the_picture() -> None:
    given_percent = broken(
        target={
            "source": SOURCE,
            "selector": {"type": "FragmentSelector", "value": "xywh=percent:25,20,50,30"},
        }
    )
    text = json.dumps([given_percent])
    assert "percent" in wa.from_document(text, photo_id="p").problems[0]
    (mark,) = wa.from_document(text, photo_id="p", size=(4000, 3000)).marks
    assert mark.points == ((1000, 600), (3000, 1500))


@settings(max_examples=150, deadline=None)
@given(st.lists(marks(), max_size=4))
def test_annotations_come_back_without_loss(drawn: list[Mark]) -> None:
    text = wa.to_document([(m, SOURCE, (4000, 3000)) for m in drawn], iri="urn:x-test:1", label="foray")
    document = json.loads(text)
    for item in document["first"]["items"]:
        assert wa.validate(item, context_given=True) == ()
        unit, x, y, width, height = wa.read_fragment(item["target"]["selector"][0]["value"])
        assert unit == "pixel"
        assert x + width <= 4000
        assert y + height <= 3000
    read = wa.from_document(text, photo_id="other")
    assert read.problems == ()
    assert list(read.marks) == drawn


def test_a_shape_moved_elsewhere_wins() -> None:
    text = wa.to_document([(BOX, SOURCE, (4000, 3000))], iri="urn:x-test:1")
    moved = text.replace('x=\\"1000\\"', 'x=\\"1100\\"')
    assert moved != text
    (mark,) = wa.from_document(moved, photo_id="p").marks
    assert mark == replace(BOX, points=((1100, 600), (1600, 1500)))


@pytest.mark.parametrize("text", ["", "{", "[[[", "null", "12"])
def test_texts_that_are_no_annotations(text: str) -> None:
    try:
        assert wa.from_document(text, photo_id="p").marks == ()
    except BadInput:
        return


def test_hostile_svg_is_refused() -> None:
    bomb = '<!DOCTYPE s [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg">&a;</svg>'
    bad = broken(target={"source": SOURCE, "selector": {"type": "SvgSelector", "value": bomb}})
    assert wa.validate(bad)


# --- IPTC Image Region ------------------------------------------------------------------------------------

REGION_OF_ROW_1 = {"rbX": 0.25, "rbY": 0.2, "rbW": 0.125, "rbH": 0.3}


def numbers_in(text: str) -> dict[str, float]:
    return {name: float(value) for name, value in re.findall(r"<Iptc4xmpExt:(rb[XYWHR]x?)>([\d.]+)<", text)}


def test_rectangle_relative() -> None:  # B4.4, B4.5, B3 row 1
    assert numbers_in(iptc.to_sidecar([BOX], (4000, 3000))) == REGION_OF_ROW_1


def test_numbers_are_those_of_the_stored_picture() -> None:  # B4.6, B3 row 6
    """Upright, the box of row 1 lies at 1500, 1000, 900 x 500 of 3000 x 4000; stored it is row 1 itself."""
    seen = replace(BOX, points=((1500.0, 1000.0), (2400.0, 1500.0)))
    text = iptc.to_sidecar([seen], (4000, 3000), 6)
    assert numbers_in(text) == REGION_OF_ROW_1
    assert "stored picture, before its EXIF orientation" in text
    assert iptc.from_sidecar(text, photo_id="p1", stored=(4000, 3000), orientation=6).marks == (seen,)


def test_radius_counts_in_units_of_the_width() -> None:  # B4.4
    circle = Mark("c", "p", MarkKind.ELLIPSE, ((1700.0, 1200.0), (2300.0, 1800.0)))
    text = iptc.to_sidecar([circle], (4000, 3000))
    assert numbers_in(text) == {"rbX": 0.5, "rbY": 0.5, "rbRx": 0.075}


@pytest.mark.parametrize("orientation", range(1, 9))
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=st.lists(marks(), max_size=3))
def test_sidecars_come_back_without_loss(orientation: int, drawn: list[Mark]) -> None:
    text = iptc.to_sidecar(drawn, (4000, 3000), orientation)
    read = iptc.from_sidecar(text, photo_id="other", stored=(4000, 3000), orientation=orientation)
    assert read.problems == ()
    assert list(read.marks) == drawn


def test_another_reader_understands_the_sidecar(tmp_path: Path) -> None:
    """exiv2 (through pyexiv2) reads what we wrote."""
    import pyexiv2

    pyexiv2.registerNs(iptc.OURS, "foraybench")
    outline = Mark("o", "p1", MarkKind.POLYGON, ((0.0, 0.0), (2000.0, 0.0), (2000.0, 1500.0)), "cap edge")
    path = tmp_path / "a.xmp"
    path.write_text(iptc.to_sidecar([BOX, outline], (4000, 3000)), encoding="utf-8")
    with pyexiv2.Image(str(path)) as sidecar:
        found = sidecar.read_xmp()
    first = "Xmp.iptcExt.ImageRegion[1]/Iptc4xmpExt:"
    assert found[f"{first}RegionBoundary/Iptc4xmpExt:rbShape"] == "rectangle"
    assert found[f"{first}RegionBoundary/Iptc4xmpExt:rbUnit"] == "relative"
    for name, value in REGION_OF_ROW_1.items():
        assert float(found[f"{first}RegionBoundary/Iptc4xmpExt:{name}"]) == value
    assert "volva" in str(found[f"{first}Name"])
    second = "Xmp.iptcExt.ImageRegion[2]/Iptc4xmpExt:RegionBoundary/Iptc4xmpExt:"
    assert found[f"{second}rbShape"] == "polygon"
    assert float(found[f"{second}rbVertices[3]/Iptc4xmpExt:rbY"]) == 0.5


FOREIGN = f"""<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="{iptc.RDF}">
<rdf:Description rdf:about="" xmlns:e="{iptc.IPTC}"><e:ImageRegion><rdf:Bag>
<rdf:li><rdf:Description e:rId="r1"><e:RegionBoundary e:rbShape="rectangle" e:rbUnit="pixel"
 e:rbX="10" e:rbY="20" e:rbW="30" e:rbH="40"/><e:Name><rdf:Alt><rdf:li xml:lang="de">Kappe</rdf:li>
 <rdf:li xml:lang="x-default">cap</rdf:li></rdf:Alt></e:Name></rdf:Description></rdf:li>
<rdf:li rdf:parseType="Resource"><e:RegionBoundary rdf:parseType="Resource"><e:rbShape>circle</e:rbShape>
 <e:rbUnit>relative</e:rbUnit><e:rbX>0.5</e:rbX><e:rbY>0.5</e:rbY><e:rbRx>0.075</e:rbRx>
 </e:RegionBoundary></rdf:li>
<rdf:li rdf:parseType="Resource"><e:RegionBoundary rdf:parseType="Resource"><e:rbShape>rectangle</e:rbShape>
 <e:rbUnit>relative</e:rbUnit><e:rbX>x</e:rbX></e:RegionBoundary></rdf:li>
</rdf:Bag></e:ImageRegion></rdf:Description></rdf:RDF></x:xmpmeta>"""


def test_foreign_sidecar() -> None:
    read = iptc.from_sidecar(FOREIGN, photo_id="p", stored=(4000, 3000), orientation=1)
    box, circle = read.marks
    assert (box.id, box.label, box.points) == ("r1", "cap", ((10, 20), (40, 60)))
    assert circle.kind is MarkKind.ELLIPSE
    assert circle.points == ((1700, 1200), (2300, 1800))  # 300 px all round
    assert len(read.problems) == 1
    assert "Region 3" in read.problems[0]


@pytest.mark.parametrize("text", ["", "<x", "\x00", "<!DOCTYPE x [<!ENTITY a 'b'>]><x>&a;</x>"])
def test_corrupted_sidecar_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(BadInput, match="sidecar"):
        iptc.from_sidecar(text, photo_id="p", stored=(10, 10))


def test_picture_without_size() -> None:
    with pytest.raises(BadInput):
        iptc.to_sidecar([BOX], (0, 10))
    with pytest.raises(BadInput):
        wa.to_annotation(BOX, SOURCE, (0, 0))


def test_two_pictures_of_one_name() -> None:  # B4.1
    assert iptc.sidecar_name("a.jpg", ["a.jpg", "b.jpg"]) == "a.xmp"
    assert iptc.sidecar_name("a.jpg", ["a.jpg", "a.png"]) == "a.jpg.xmp"
    assert iptc.sidecar_name("a.jpg", ["A.PNG"]) == "a.jpg.xmp"
    assert iptc.sidecar_name("DSC.0001.heic", []) == "DSC.0001.xmp"
