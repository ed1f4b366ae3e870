"""Darwin Core Archive: occurrences with the history of their names, pictures and measurements.

Terms: Darwin Core quick reference and term list (tdwg/dwc, 2026-05-26); descriptor: Darwin Core Text Guide
(2023-09-13); dataset description: EML 2.1.1. Text is UTF-8 without a byte order mark, comma separated,
quoted, one record a line: line breaks inside a value become spaces, because not every reader honours quotes.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from xml.etree import ElementTree as ET

from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.last_look import LastLook
from catalog_gui.domain.problem import Cancelled
from catalog_gui.domain.record import NameGiven, Record
from catalog_gui.outputs.archive_check import archive_faults
from catalog_gui.outputs.whole_file import whole_file

DWC = "http://rs.tdwg.org/dwc/terms/"
DCTERMS = "http://purl.org/dc/terms/"
OCCURRENCE = DWC + "Occurrence"
IDENTIFICATION = DWC + "Identification"
MEASUREMENT = DWC + "MeasurementOrFact"
MULTIMEDIA = "http://rs.gbif.org/terms/1.0/Multimedia"
TEXT = "http://rs.tdwg.org/dwc/text/"
EML = "eml://ecoinformatics.org/eml-2.1.1"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
WGS84 = "EPSG:4326"


@dataclass(frozen=True, slots=True)
class DataSet:
    """What the archive says of itself. `status` is the word for 'found': present, or detected since 2026."""

    title: str
    creator: str
    licence: str
    made_on: date
    identifier: str
    description: str
    status: str = "present"


@dataclass(frozen=True, slots=True)
class Image:
    """One picture of a record inside the archive: clean bytes, and who made it on what terms."""

    occurrence_id: str
    name: str
    data: bytes
    title: str
    author: str
    licence: str


Cells = dict[str, str]


def write_archive(
    records: Sequence[Record],
    images: Iterable[Image],
    target: Path,
    about: DataSet,
    *,
    replace: bool = False,
    look: LastLook | None = None,
    progress: Callable[[int], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> int:
    """Write the archive whole or not at all; returns how many records it holds.

    It is read back and checked against the rules of the text guide before it takes its place.
    Raises BadInput, Cancelled and PlacesLeft; then nothing is left.
    """
    with whole_file(target, replace=replace, look=look) as draft:
        with zipfile.ZipFile(draft, "w", zipfile.ZIP_DEFLATED) as archive:
            media: list[Cells] = []
            for number, image in enumerate(images, 1):
                if cancelled():
                    raise Cancelled
                _put(archive, f"pictures/{image.name}", image.data, about.made_on)
                media.append(_media(image, about))
                progress(number)
            tables = (
                ("occurrence.csv", OCCURRENCE, [_occurrence(r, about) for r in records]),
                ("identification.csv", IDENTIFICATION, [c for r in records for c in _identifications(r)]),
                ("multimedia.csv", MULTIMEDIA, media),
                ("measurement.csv", MEASUREMENT, [c for r in records for c in _measurements(r)]),
            )
            kept = [table for table in tables if table[2] or table[1] == OCCURRENCE]
            for name, _, rows in kept:
                _put(archive, name, _text(rows).encode(), about.made_on)
            meta = _meta([(name, row_type, _columns(rows)) for name, row_type, rows in kept])
            _put(archive, "meta.xml", meta, about.made_on)
            _put(archive, "eml.xml", _eml(about), about.made_on)
        if cancelled():
            raise Cancelled
        faults = archive_faults(draft)
        if faults:
            raise AssertionError(f"The archive breaks its own rules: {'; '.join(faults)}")
    return len(records)


def _put(archive: zipfile.ZipFile, name: str, data: bytes, day: date) -> None:
    """A member with the day of making and no trace of the machine's user or clock."""
    info = zipfile.ZipInfo(name, (max(1980, day.year), day.month, day.day, 0, 0, 0))
    info.compress_type = zipfile.ZIP_STORED if name.endswith(".jpg") else zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    archive.writestr(info, data)


def _occurrence(record: Record, about: DataSet) -> Cells:
    now = record.present
    on = record.on
    day_of_year = f"{on.timetuple().tm_yday}" if on is not None else ""
    placed = bool(record.latitude and record.longitude)
    terms = {
        "occurrenceID": record.occurrence_id,
        "basisOfRecord": "PreservedSpecimen" if record.kept else "HumanObservation",
        "occurrenceStatus": about.status,
        "recordNumber": record.number,
        "catalogNumber": record.voucher,
        "recordedBy": record.recorder,
        "organismQuantity": f"{record.fruit_bodies}" if record.fruit_bodies else "",
        "organismQuantityType": "fruit bodies" if record.fruit_bodies else "",
        "eventDate": record.event_date,
        "verbatimEventDate": record.verbatim_date,
        "year": f"{on.year}" if on is not None else "",
        "month": f"{on.month}" if on is not None else "",
        "day": f"{on.day}" if on is not None else "",
        "startDayOfYear": day_of_year,
        "endDayOfYear": day_of_year,
        "country": record.country,
        "countryCode": record.country_code,
        "stateProvince": record.state_province,
        "county": record.county,
        "locality": record.site,
        "habitat": record.habitat,
        "decimalLatitude": record.latitude if placed else "",
        "decimalLongitude": record.longitude if placed else "",
        "geodeticDatum": WGS84 if placed else "",
        "coordinateUncertaintyInMeters": f"{record.uncertainty_m}" if placed and record.uncertainty_m else "",
        "coordinatePrecision": record.coordinate_precision if placed else "",
        "pointRadiusSpatialFit": record.spatial_fit if placed else "",
        "footprintWKT": record.footprint,
        "footprintSRS": WGS84 if record.footprint else "",
        "verbatimCoordinates": record.grid_reference,
        "verbatimCoordinateSystem": record.grid_system if record.grid_reference else "",
        "verbatimSRS": record.grid_srs if record.grid_reference else "",
        "georeferenceRemarks": record.place_method if placed else "",
        "dataGeneralizations": record.generalised,
        "informationWithheld": record.withheld,
        "associatedTaxa": record.associated,
        "occurrenceRemarks": "; ".join(
            word
            for word in (
                record.note,
                f"substrate: {record.substrate}" if record.substrate else "",
                f"age: {record.ages}" if record.ages else "",
                f"condition: {record.condition}" if record.condition else "",
            )
            if word
        ),
        **_name_terms(now),
        "identificationID": now.id if now is not None else "",
        "vernacularName": record.english,
        "kingdom": "Fungi" if now is not None else "",
        "nomenclaturalCode": "ICN" if now is not None else "",
    }
    return {DWC + term: value for term, value in terms.items()} | {DCTERMS + "license": about.licence}


def _name_terms(one: NameGiven | None) -> Cells:
    if one is None:
        return dict.fromkeys(
            (
                "scientificName",
                "scientificNameAuthorship",
                "taxonRank",
                "genus",
                "specificEpithet",
                "infraspecificEpithet",
                "identificationQualifier",
                "verbatimIdentification",
                "identifiedBy",
                "dateIdentified",
                "identificationRemarks",
            ),
            "",
        )
    return {
        "scientificName": one.scientific_name,
        "scientificNameAuthorship": one.authorship,
        "taxonRank": one.rank,
        "genus": one.genus,
        "specificEpithet": one.epithet,
        "infraspecificEpithet": one.infraspecific,
        "identificationQualifier": one.qualifier,
        "verbatimIdentification": one.as_given,
        "identifiedBy": one.by,
        "dateIdentified": one.on,
        "identificationRemarks": one.basis,
    }


def _identifications(record: Record) -> list[Cells]:
    rows = []
    for one in record.names:
        state = "replaced by a later determination" if one.replaced else "present determination"
        terms = {"identificationID": one.id, **_name_terms(one)}
        terms["identificationRemarks"] = "; ".join(word for word in (one.basis, state) if word)
        rows.append({"": record.occurrence_id} | {DWC + term: value for term, value in terms.items()})
    return rows


def _measurements(record: Record) -> list[Cells]:
    return [
        {
            "": record.occurrence_id,
            DWC + "measurementType": fact.what,
            DWC + "measurementValue": fact.value,
            DWC + "measurementUnit": fact.unit,
            DWC + "measurementAccuracy": fact.accuracy,
            DWC + "measurementMethod": fact.method,
            DWC + "measurementRemarks": fact.remarks,
        }
        for fact in record.facts
    ]


def _media(image: Image, about: DataSet) -> Cells:
    return {
        "": image.occurrence_id,
        DCTERMS + "type": "StillImage",
        DCTERMS + "format": "image/jpeg",
        DCTERMS + "identifier": f"pictures/{image.name}",
        DCTERMS + "title": image.title,
        DCTERMS + "creator": image.author,
        DCTERMS + "license": image.licence or about.licence,
        DCTERMS + "rightsHolder": image.author,
    }


def _columns(rows: Sequence[Cells]) -> list[str]:
    """The columns of a table in order; the id column is '' in extensions."""
    return list(rows[0]) if rows else [DWC + "occurrenceID"]


def _text(rows: Sequence[Cells]) -> str:
    columns = _columns(rows)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerow([column.rsplit("/", 1)[-1] or "coreid" for column in columns])
    for row in rows:
        writer.writerow([" ".join(row[column].split()) for column in columns])
    return out.getvalue()


def _meta(tables: Sequence[tuple[str, str, list[str]]]) -> bytes:
    ET.register_namespace("", TEXT)
    root = ET.Element(f"{{{TEXT}}}archive", {"metadata": "eml.xml"})
    for number, (name, row_type, columns) in enumerate(tables):
        kind = "core" if number == 0 else "extension"
        table = ET.SubElement(
            root,
            f"{{{TEXT}}}{kind}",
            {
                "encoding": "UTF-8",
                "fieldsTerminatedBy": ",",
                "linesTerminatedBy": "\\n",
                "fieldsEnclosedBy": '"',
                "ignoreHeaderLines": "1",
                "rowType": row_type,
            },
        )
        files = ET.SubElement(table, f"{{{TEXT}}}files")
        ET.SubElement(files, f"{{{TEXT}}}location").text = name
        ET.SubElement(table, f"{{{TEXT}}}{'id' if number == 0 else 'coreid'}", {"index": "0"})
        for index, term in enumerate(columns):
            if term:
                ET.SubElement(table, f"{{{TEXT}}}field", {"index": f"{index}", "term": term})
    ET.indent(root)
    data: bytes = ET.tostring(root, encoding="UTF-8", xml_declaration=True)
    return data


def _eml(about: DataSet) -> bytes:
    ET.register_namespace("eml", EML)
    ET.register_namespace("xsi", XSI)
    root = ET.Element(
        f"{{{EML}}}eml",
        {
            "packageId": about.identifier,
            "system": "Foray Bench",
            "scope": "system",
            f"{{{XSI}}}schemaLocation": f"{EML} http://rs.gbif.org/schema/eml-gbif-profile/1.1/eml.xsd",
            "{http://www.w3.org/XML/1998/namespace}lang": "en",
        },
    )
    dataset = ET.SubElement(root, "dataset")
    ET.SubElement(dataset, "alternateIdentifier").text = about.identifier
    ET.SubElement(dataset, "title", {"{http://www.w3.org/XML/1998/namespace}lang": "en"}).text = about.title
    for role in ("creator", "metadataProvider"):
        _party(dataset, role, about.creator)
    ET.SubElement(dataset, "pubDate").text = about.made_on.isoformat()
    ET.SubElement(dataset, "language").text = "en"
    abstract = ET.SubElement(dataset, "abstract")
    for words in (about.description, CAUTION):
        ET.SubElement(abstract, "para").text = words
    rights = ET.SubElement(ET.SubElement(dataset, "intellectualRights"), "para")
    rights.text = about.licence or "All rights reserved."
    _party(dataset, "contact", about.creator)
    ET.indent(root)
    data: bytes = ET.tostring(root, encoding="UTF-8", xml_declaration=True)
    return data


def _party(dataset: ET.Element, role: str, name: str) -> None:
    party = ET.SubElement(dataset, role)
    if name:
        person = ET.SubElement(party, "individualName")
        given, _, sur = name.rpartition(" ")
        if given:
            ET.SubElement(person, "givenName").text = given
        ET.SubElement(person, "surName").text = sur
    else:
        ET.SubElement(party, "organizationName").text = "name withheld"
