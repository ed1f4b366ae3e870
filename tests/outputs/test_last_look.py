"""What goes out with no place is read once more as finished bytes; whatever looks like a place is asked about."""

from __future__ import annotations

import io
import pickle
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from PIL.ExifTags import IFD

from catalog_gui.domain.last_look import LastLook, PlacesLeft
from catalog_gui.domain.page import Paper, Text
from catalog_gui.domain.privacy import Audience, Reader
from catalog_gui.domain.sheet import Precision
from catalog_gui.outputs.finished import texts_of
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.outputs.whole_file import whole_file, whole_folder
from catalog_gui.views.outputs.painter import burn_marks, write_pdf
from catalog_gui.workflows.publish.files import write_files
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.last_look import last_look
from catalog_gui.workflows.publish.order import Kind, Order
from catalog_gui.workflows.publish.press import Press

PLACE = "NY 21683 09305"
NONE = Reader(Precision.HIDDEN)


@pytest.mark.parametrize(
    "words",
    [
        "P1010334.JPG",
        "IMG_2206.JPG and DSC01234.jpg",
        "DSCF0012.TIF",
        "2025-10-04T12:00:00+01:00",
        "2025-10-04T12:00:00.123456+00:00",
        "urn:uuid:6ba7b810-9dad-11d1-80b4-00c04fd430c8",
        "https://doi.org/10.1234/abc.54.4718263",
        "http://rs.tdwg.org/dwc/terms/decimalLatitude",
        "Spores 8.5–11.2 × 4.1–5.0 µm, Q 1.9",
    ],
)
def test_what_only_looks_like_a_place_is_not_asked_about(words: str) -> None:
    LastLook().at([words])


@pytest.mark.parametrize(
    "words",
    [
        PLACE,
        "NY216830.jpg",
        "54.4718263",
        "https://elsewhere.example/54",
        "doi.org.example 54.47182, -3.2106",
    ],
)
def test_a_place_is_asked_about_until_it_may_stay(words: str) -> None:
    with pytest.raises(PlacesLeft) as told:
        LastLook().at(["first", words])
    assert told.value.places
    assert "Nothing was written" in told.value.reason
    LastLook(left_in=frozenset(told.value.places)).at([words])
    again = pickle.loads(pickle.dumps(told.value))  # noqa: S301 - from ourselves
    assert again.places == told.value.places


def test_a_pdf_is_read_once_more_before_it_takes_its_place(fonts: object, tmp_path: Path) -> None:
    target = tmp_path / "paper.pdf"
    papers = [Paper("A paper", (Text(f"Under beech, {PLACE}, on moss."),))]
    with pytest.raises(PlacesLeft) as told:
        write_pdf(papers, target, title="A paper", look=PaperMaker(tmp_path).looking(LastLook()))
    assert " ".join(told.value.places[0].split()) == PLACE
    assert list(tmp_path.iterdir()) == []
    write_pdf(
        papers,
        target,
        title="A paper",
        look=PaperMaker(tmp_path).looking(LastLook(left_in=frozenset(told.value.places))),
    )
    assert target.exists()
    with pytest.raises(PlacesLeft):
        write_pdf(
            papers, target, title="A paper", replace=True, look=PaperMaker(tmp_path).looking(LastLook())
        )
    assert target.stat().st_size > 0


def test_members_of_an_archive_and_names_are_read(tmp_path: Path) -> None:
    def write(name: str, member: str, text: str) -> None:
        with (
            whole_file(tmp_path / name, replace=True, look=LastLook()) as draft,
            zipfile.ZipFile(draft, "w") as made,
        ):
            made.writestr(member, text)

    for member, text in (
        ("a.csv", f"number,note\n1,{PLACE}\n"),
        ("a.xml", f"<a><b>{PLACE}</b></a>"),
        ("a.xml", f'<a note="{PLACE}"/>'),
        (f"{PLACE}.txt", "nothing"),
    ):
        with pytest.raises(PlacesLeft):
            write("out.zip", member, text)
        assert list(tmp_path.iterdir()) == []
    write("out.zip", "a.csv", "number,note\n1,moss\n")


def _jpeg(**extra: object) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (8, 8)).save(out, "JPEG", **extra)
    return out.getvalue()


def test_pictures_are_read_for_positions_and_words(tmp_path: Path) -> None:
    located, described = Image.Exif(), Image.Exif()
    located.get_ifd(IFD.GPSInfo).update({1: "N", 2: (54.0, 28.0, 18.6), 3: "W", 4: (3.0, 12.0, 38.0)})
    described[0x010E] = PLACE
    xmp = f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><d>{PLACE}</d></x:xmpmeta>'.encode()
    for data in (
        _jpeg(exif=located.tobytes()),
        _jpeg(exif=described.tobytes()),
        _jpeg(xmp=xmp),
        _jpeg(comment=PLACE.encode()),
    ):
        with pytest.raises(PlacesLeft), whole_folder(tmp_path / "out", look=LastLook()) as draft:
            (draft / "1-01.jpg").write_bytes(data)
        assert list(tmp_path.iterdir()) == []
    with whole_folder(tmp_path / "out", look=LastLook()) as draft:
        (draft / "1-01.jpg").write_bytes(_jpeg())
    assert next(iter(texts_of(tmp_path / "out"))) == "1-01.jpg"


@pytest.mark.parametrize(
    ("kind", "ending"), [(Kind.ARCHIVE, ".zip"), (Kind.TABLE, ".csv"), (Kind.TABLE, ".xlsx")]
)
def test_an_order_with_no_place_is_looked_at_and_one_with_a_place_is_not(
    kind: Kind, ending: str, found: tuple[Gathered, ...], press: Press, makers: PaperMaker, tmp_path: Path
) -> None:
    order = Order(
        kind, ("s1",), "walk", Audience.SCHEME, replace(NONE, notes=True), author="A", licence="CC0"
    )
    # A way of writing that scrubbing does not know stands for any that is found later.
    odd = replace(found[0], specimen=replace(found[0].specimen, number="OLC 9C6W+XQ"))
    target = tmp_path / f"out{ending}"
    write_files(order, found[:1], press, makers, target, draw=burn_marks)
    target.unlink()
    with pytest.raises(PlacesLeft) as told:
        write_files(order, (odd,), press, makers, target, draw=burn_marks)
    assert not target.exists()
    write_files(order, (odd,), press, makers, target, draw=burn_marks, left_in=frozenset(told.value.places))
    assert target.exists()
    assert last_look(replace(order, reader=Reader(Precision.TEN_KM)), press) is None
    assert last_look(Order(Kind.DRILL, ("s1",), reader=Reader(Precision.TEN_KM)), press) is not None
