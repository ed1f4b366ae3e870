"""The archive against the Darwin Core Text Guide (check-values C4), the term list, and python-dwca-reader."""

from __future__ import annotations

import csv
import io
import math
import shutil
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from defusedxml import ElementTree  # type: ignore[import-untyped]
from dwca.read import DwCAReader

from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.foray import Place
from catalog_gui.domain.privacy import Reader
from catalog_gui.domain.sheet import Precision
from catalog_gui.domain.specimen import Determination, Qualifier
from catalog_gui.geo.position import Position
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.outputs.archive_check import archive_faults
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.views.outputs.painter import burn_marks
from catalog_gui.workflows.publish.files import write_files
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.order import Kind, Order
from catalog_gui.workflows.publish.press import Press
from catalog_gui.workflows.publish.records import name_given, record_of
from catalog_gui.workflows.publish.secrets import secrets_of

NS = {"t": "http://rs.tdwg.org/dwc/text/"}
DWC = "http://rs.tdwg.org/dwc/terms/"
EXACT = Reader(Precision.EXACT, names=True, notes=True, site=True, deliberate=True)

Make = Callable[..., Path]


@pytest.fixture
def make(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker, tmp_path: Path, fonts: object
) -> Make:
    def made(reader: Reader = EXACT, finds: tuple[Gathered, ...] = found, **options: object) -> Path:
        order = Order(
            Kind.ARCHIVE,
            tuple(one.specimen.id for one in finds),
            reader=reader,
            with_pictures=True,
            licence="http://creativecommons.org/licenses/by/4.0/legalcode",
            **options,  # type: ignore[arg-type]
        )
        target = tmp_path / "archive.zip"
        target.unlink(missing_ok=True)
        assert write_files(order, finds, press, makers, target, draw=burn_marks) == len(finds)
        return target

    return made


def terms_of(row_type: str) -> set[str]:
    lines = (Path(__file__).parent / "dwc_terms.txt").read_text().splitlines()
    return {line.split()[1] for line in lines if line.startswith(f"{row_type} ")}


def test_descriptor_rules(make: Make) -> None:
    """C4.1 to C4.7, by a reader of its own."""
    with zipfile.ZipFile(make()) as archive:
        names = archive.namelist()
        root = ElementTree.fromstring(archive.read("meta.xml"))
        assert root.tag == f"{{{NS['t']}}}archive"  # C4.1
        assert root.get("metadata") == "eml.xml"
        assert "eml.xml" in names
        tables = list(root)
        assert [t.tag.rpartition("}")[2] for t in tables] == [
            "core",
            "extension",
            "extension",
            "extension",
        ]  # C4.2
        assert [t.get("rowType") for t in tables] == [
            DWC + "Occurrence",
            DWC + "Identification",
            "http://rs.gbif.org/terms/1.0/Multimedia",
            DWC + "MeasurementOrFact",
        ]  # C4.6, C4.7
        ids: set[str] = set()
        for table in tables:
            core = table.tag.endswith("core")
            tags = [child.tag.rpartition("}")[2] for child in table]
            assert tags[:2] == ["files", "id" if core else "coreid"]  # C4.4, C4.5
            assert set(tags[2:]) == {"field"}
            assert table.get("ignoreHeaderLines") == "1"  # C4.3
            location = table.findtext("t:files/t:location", namespaces=NS)
            assert location in names
            data = archive.read(str(location))
            assert not data.startswith(b"\xef\xbb\xbf")  # content traps: no byte order mark
            rows = list(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))
            indexes = [int(f.get("index", "-1")) for f in table.findall("t:field", NS)]
            terms = [f.get("term") for f in table.findall("t:field", NS)]
            assert all(0 <= i < len(rows[0]) for i in indexes)
            assert len({len(row) for row in rows}) == 1
            allowed = terms_of(str(table.get("rowType")).rpartition("/")[2])
            assert set(terms) <= allowed, set(terms) - allowed
            assert not {"NULL", "None", "nan", "-"} & {cell for row in rows[1:] for cell in row}
            if core:
                ids = {row[0] for row in rows[1:]}
                assert len(ids) == len(rows) - 1
            else:
                assert {row[0] for row in rows[1:]} <= ids


def test_read_back_by_an_independent_reader(make: Make, press: Press, found: tuple[Gathered, ...]) -> None:
    with DwCAReader(str(make())) as archive:
        assert archive.descriptor.core.type == DWC + "Occurrence"
        rows = list(archive)
        assert [row.data[DWC + "recordNumber"] for row in rows] == ["2025-001", "2025-002", "2025-003"]
        first = rows[0]
        record = record_of(found[0], EXACT, press)
        assert first.id == record.occurrence_id
        assert first.data[DWC + "eventDate"] == "2025-10-18T12:04+01:00"  # C3: local with its offset
        assert (first.data[DWC + "year"], first.data[DWC + "startDayOfYear"]) == ("2025", "291")
        assert (
            first.data[DWC + "scientificName"] == "Amanita phalloides (Vaill. ex Fr.) Link"
        )  # C1, without cf.
        assert first.data[DWC + "identificationQualifier"] == "cf. phalloides"
        assert first.data[DWC + "verbatimIdentification"] == "Amanita cf. phalloides"
        assert first.data[DWC + "geodeticDatum"] == "EPSG:4326"
        assert first.data[DWC + "occurrenceStatus"] == "present"
        # A2: cut off, never rounded; A2.10: no eight figures from the seven-parameter shift.
        assert first.data[DWC + "verbatimCoordinates"] == "TG514131"
        latitude, longitude = (
            float(first.data[DWC + "decimalLatitude"]),
            float(first.data[DWC + "decimalLongitude"]),
        )
        radius = int(first.data[DWC + "coordinateUncertaintyInMeters"])
        metres = math.hypot((latitude - 52.657977) * 111_200, (longitude - 1.716052) * 67_500)
        assert 0 < radius <= 9  # 5 m at 68 % is 8.15 m at 95 %, rounded up
        assert metres <= radius
        kinds = [extension.rowtype for extension in first.extensions]
        assert kinds.count(DWC + "Identification") == 2
        assert kinds.count("http://rs.gbif.org/terms/1.0/Multimedia") == 2
        facts = [x.data for x in first.extensions if x.rowtype == DWC + "MeasurementOrFact"]
        width = next(f for f in facts if f[DWC + "measurementType"] == "cap width")
        assert (width[DWC + "measurementValue"], width[DWC + "measurementUnit"]) == ("80-95", "mm")
        ring = next(f for f in facts if f[DWC + "measurementType"] == "ring")
        assert (
            "not" in ring[DWC + "measurementValue"]
        )  # looked for and not there is never 'absent' by silence
        measured = next(f for f in facts if f[DWC + "measurementAccuracy"])
        assert float(measured[DWC + "measurementValue"]) == pytest.approx(400 / 200 * 20.0, rel=1e-3)


def test_coarse_place_in_an_archive(make: Make, open_found: tuple[Gathered, ...]) -> None:
    """C2.5 and C2.15: TG51 has its centre at 655000, 315000, and 7072 m hold it."""
    with DwCAReader(str(make(Reader(Precision.TEN_KM)))) as archive:
        data = next(iter(archive)).data
    assert float(data[DWC + "decimalLatitude"]) == pytest.approx(52.672654, abs=1e-4)
    assert float(data[DWC + "decimalLongitude"]) == pytest.approx(1.770422, abs=1e-4)
    assert 7072 <= int(data[DWC + "coordinateUncertaintyInMeters"]) <= 7090
    assert data[DWC + "verbatimCoordinates"] == "TG51"  # A2.1, by truncation
    assert data[DWC + "verbatimCoordinateSystem"] == "British National Grid"
    assert data[DWC + "verbatimSRS"] == "EPSG:27700"
    assert "10 km" in data[DWC + "dataGeneralizations"]
    assert data[DWC + "informationWithheld"]
    assert data[DWC + "footprintWKT"].startswith("POLYGON ((1.")  # longitude first
    assert data[DWC + "eventDate"] == "2025-10-18"
    assert float(data[DWC + "pointRadiusSpatialFit"]) == pytest.approx(math.pi / 2, rel=0.01)  # C2.7
    with DwCAReader(str(make(Reader(Precision.ONE_KM), open_found))) as archive:
        data = next(iter(archive)).data
    assert data[DWC + "verbatimCoordinates"] == "TG5113"  # A2.1
    assert 708 <= int(data[DWC + "coordinateUncertaintyInMeters"]) <= 722
    with DwCAReader(str(make(Reader(Precision.HIDDEN)))) as archive:
        data = next(iter(archive)).data
    for term in ("decimalLatitude", "geodeticDatum", "coordinateUncertaintyInMeters", "verbatimCoordinates"):
        assert data[DWC + term] == ""  # C2.1: empty without coordinates
    assert data[DWC + "informationWithheld"]


@pytest.mark.parametrize(
    ("precision", "province", "county", "withheld"),
    [
        (Precision.EXACT, "Thistlemark", "Quagshire", ""),
        (Precision.ONE_KM, "Thistlemark", "Quagshire", ""),
        (Precision.TEN_KM, "Thistlemark", "", "County withheld."),
        (Precision.HIDDEN, "", "", "Province and county withheld."),
    ],
)
def test_region_terms(
    precision: Precision,
    province: str,
    county: str,
    withheld: str,
    make: Make,
    open_found: tuple[Gathered, ...],
) -> None:
    """country, countryCode, stateProvince, county: terms of Darwin Core's Location class."""
    reader = Reader(precision, deliberate=precision is Precision.EXACT)
    with DwCAReader(str(make(reader, open_found))) as archive:
        for row in archive:
            terms = ("country", "countryCode", "stateProvince", "county")
            assert [row.data[DWC + term] for term in terms] == ["United Kingdom", "GB", province, county]
            assert row.data[DWC + "informationWithheld"].endswith(withheld)


def test_many_exports_cannot_be_averaged(found: tuple[Gathered, ...], press: Press) -> None:
    """Every place of one square gives the same record: the mean of a hundred says no more than one."""
    reader = Reader(Precision.ONE_KM)
    seen = set()
    for step in range(40):
        place = Place(Position(52.649 + step * 1e-4, 1.712 + step * 2e-4), 5.0)
        one = replace(found[0], specimen=replace(found[0].specimen, place=place), private=False)
        record = record_of(one, reader, press)
        seen.add(
            (record.latitude, record.longitude, record.uncertainty_m, record.footprint, record.grid_reference)
        )
    assert len(seen) == 1


def test_own_check_finds_breaches(make: Make, tmp_path: Path) -> None:
    """What the schema lets pass and what it does not (C4, last lines): each breach is named."""
    sound = make()
    assert archive_faults(sound) == ()

    def broken(change: Callable[[str, bytes], bytes]) -> tuple[str, ...]:
        other = tmp_path / "broken.zip"
        with zipfile.ZipFile(sound) as old, zipfile.ZipFile(other, "w") as new:
            for name in old.namelist():
                new.writestr(name, change(name, old.read(name)))
        return archive_faults(other)

    def in_meta(before: bytes, after: bytes) -> Callable[[str, bytes], bytes]:
        def change(name: str, data: bytes) -> bytes:
            if name != "meta.xml":
                return data
            assert before in data
            return data.replace(before, after, 1)

        return change

    assert any("no id" in f for f in broken(in_meta(b'<id index="0" />', b"")))
    assert any("no coreid" in f for f in broken(in_meta(b'<coreid index="0" />', b"")))
    assert any(
        "rowType" in f for f in broken(in_meta(b'rowType="http://rs.tdwg.org/dwc/terms/Occurrence"', b""))
    )
    assert broken(in_meta(b"http://rs.tdwg.org/dwc/text/", b"http://example.org/"))
    assert any("is named and not there" in f for f in broken(in_meta(b"multimedia.csv", b"elsewhere.csv")))
    assert any(
        "no id of the core" in f
        for f in broken(lambda n, d: d.replace(b"urn:uuid:", b"urn:other:") if n == "measurement.csv" else d)
    )
    assert any(
        "cells" in f for f in broken(lambda n, d: d + b'"one","cell"\n' if n == "identification.csv" else d)
    )
    assert any(
        "byte order" in f for f in broken(lambda n, d: b"\xef\xbb\xbf" + d if n == "occurrence.csv" else d)
    )
    (tmp_path / "no.zip").write_text("no archive")
    assert archive_faults(tmp_path / "no.zip")


def test_content_traps(make: Make, found: tuple[Gathered, ...], press: Press) -> None:
    """C4 content traps: separator, quotation mark, line break, tab, emoji and right-to-left in remarks."""
    nasty = 'comma, "quote", =SUM(A1)\nline\tbreak 🍄 שלום'
    one = replace(found[0], specimen=replace(found[0].specimen, note=nasty, habitat="", substrate=""))
    with DwCAReader(str(make(EXACT, (one,)))) as archive:
        data = next(iter(archive)).data
    assert data[DWC + "occurrenceRemarks"].startswith('comma, "quote", =SUM(A1) line break 🍄 שלום')


def test_find_without_anything(make: Make, found: tuple[Gathered, ...]) -> None:
    bare = replace(
        found[0],
        specimen=replace(found[0].specimen, place=None, collected_at=None, fruit_bodies=None),
        names=(),
        evidence=(),
        photos=(),
        marks=(),
    )
    with DwCAReader(str(make(EXACT, (bare,)))) as archive:
        data = next(iter(archive)).data
    for term in ("eventDate", "year", "decimalLatitude", "scientificName", "kingdom", "organismQuantityType"):
        assert data[DWC + term] == ""


@pytest.mark.parametrize(
    ("name", "qualifier", "scientific", "rank", "sign"),
    [  # check-values G1.1, G2
        ("Amanita phalloides", Qualifier.NONE, "Amanita phalloides (Vaill. ex Fr.) Link", "species", ""),
        (
            "Amanita phalloides",
            Qualifier.CF,
            "Amanita phalloides (Vaill. ex Fr.) Link",
            "species",
            "cf. phalloides",
        ),
        ("Amanita phalloides", Qualifier.AFF, "Amanita", "genus", "aff. phalloides"),
        ("Cortinarius", Qualifier.SP, "Cortinarius", "genus", ""),
        ("Armillaria mellea", Qualifier.AGG, "Armillaria mellea", "species", "agg."),
        (
            "Medicago orbicularis (L.) Bartal.",
            Qualifier.NONE,
            "Medicago orbicularis (L.) Bartal.",
            "species",
            "",
        ),
    ],
)
def test_doubt_stands_beside_the_name(
    name: str, qualifier: Qualifier, scientific: str, rank: str, sign: str,
    reference: Reference, found: tuple[Gathered, ...],
) -> None:  # fmt: skip
    taxon = reference.named(name)
    given = Determination("d", "s", name, taxon.id if taxon else "", qualifier)
    made = name_given(given, reference, False, secrets_of(found[0], EXACT), names=True)
    assert (made.scientific_name, made.rank, made.qualifier) == (scientific, rank, sign)


@pytest.mark.parametrize(
    ("day", "number"), [(date(2024, 12, 31), 366), (date(2023, 12, 31), 365), (date(2025, 2, 1), 32)]
)
def test_day_of_the_year(
    day: date, number: int, make: Make, found: tuple[Gathered, ...]
) -> None:  # check-values C1: startDayOfYear
    moment = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    one = replace(found[0], specimen=replace(found[0].specimen, collected_at=moment))
    with DwCAReader(str(make(EXACT, (one,)))) as archive:
        data = next(iter(archive)).data
    assert data[DWC + "startDayOfYear"] == data[DWC + "endDayOfYear"] == str(number)


def test_the_word_for_found_can_be_chosen(make: Make) -> None:
    with DwCAReader(str(make(status="detected"))) as archive:
        assert next(iter(archive)).data[DWC + "occurrenceStatus"] == "detected"


def test_description_is_there(make: Make) -> None:
    with zipfile.ZipFile(make()) as archive:
        root = ElementTree.fromstring(archive.read("eml.xml"))
    assert root.tag == "{eml://ecoinformatics.org/eml-2.1.1}eml"
    assert root.get("packageId")
    dataset = root.find("dataset")
    assert dataset is not None
    assert CAUTION in [para.text for para in dataset.iterfind("abstract/para")]
    order = [child.tag for child in dataset]
    assert order == [  # the sequence that EML 2.1.1 prescribes
        "alternateIdentifier", "title", "creator", "metadataProvider", "pubDate", "language", "abstract",
        "intellectualRights", "contact",
    ]  # fmt: skip


def test_two_exports_are_alike(make: Make, tmp_path: Path) -> None:
    """Nothing of the moment or the machine is in the archive."""
    first = tmp_path / "first.zip"
    shutil.copy(make(), first)
    with zipfile.ZipFile(first) as one, zipfile.ZipFile(make()) as two:
        assert one.namelist() == two.namelist()
        assert all(one.read(name) == two.read(name) for name in one.namelist())
