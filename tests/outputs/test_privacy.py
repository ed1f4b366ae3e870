"""No paper, record or picture for others gives a planted secret away, whatever it is written in."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import exifread
import pyexiv2
import pytest
from PIL import Image
from pypdf import PdfReader
from pypdf.generic import StreamObject
from world import COUNTRY, NUMBERS, PROVINCE, WAYS, WORDS

from catalog_gui.domain.privacy import Audience, Reader, places_in, precision_for, scrubbed, secrets
from catalog_gui.domain.sheet import Precision
from catalog_gui.geo.notation import Notation, write_position
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.views.outputs.painter import burn_marks, write_pdf
from catalog_gui.workflows.ports import UnitOfWork
from catalog_gui.workflows.publish.files import file_preview, write_files
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.order import FILES, Kind, Order, gather_all, make_paper, make_papers
from catalog_gui.workflows.publish.press import Press

Read = Callable[[Callable[[UnitOfWork], tuple[Gathered, ...]]], tuple[Gathered, ...]]
READERS = (
    Reader(Precision.TEN_KM),
    Reader(Precision.ONE_KM),
    Reader(Precision.HIDDEN),
    Reader(Precision.EXACT),  # asked for, but without the deliberate yes
)


def order_of(kind: Kind, reader: Reader) -> Order:
    return Order(
        kind,
        ("s1", "s2", "s3"),
        "walk",
        Audience.PUBLIC,
        reader,
        taxa=("Amanita citrina",) if kind is Kind.HANDOUT else (),
        numbers=("2025-004", "2025-005"),
        marks=True,
        with_pictures=True,
        author="Chosen Author",
        licence="http://creativecommons.org/licenses/by/4.0/legalcode",
    )


def write(order: Order, target: Path, read: Read, press: Press, makers: PaperMaker) -> Path:
    if order.kind in FILES:
        target = target.with_suffix({Kind.ARCHIVE: ".zip", Kind.TABLE: ".csv"}.get(order.kind, ""))
        write_files(order, gather_all(order, read), press, makers, target, draw=burn_marks)
    else:
        target = target.with_suffix(".pdf")
        write_pdf(make_papers(order, read, press, makers), target, title=str(order.kind))
    return target


def texts(path: Path) -> Iterator[tuple[str, str]]:
    """Everything readable in a file or folder: names, bytes in several codings, unpacked and extracted text."""
    files = sorted(path.rglob("*")) if path.is_dir() else [path]
    for file in files:
        yield "file name", file.name
        data = file.read_bytes()
        yield from in_bytes(file.name, data)
        if file.suffix == ".pdf":
            yield from pdf_texts(file)
            document = PdfReader(file)
            yield "PDF information", str(document.metadata)
            for number in range(1, len(document.xref[0]) + 2 if 0 in document.xref else 2):
                thing = document.get_object(number)
                if isinstance(thing, StreamObject):
                    yield f"PDF stream {number}", thing.get_data().decode("latin-1")
        if zipfile.is_zipfile(file):
            with zipfile.ZipFile(file) as archive:
                for member in archive.infolist():
                    yield "member name", member.filename
                    yield "member time", str(member.date_time)
                    yield from in_bytes(member.filename, archive.read(member))


def pdf_texts(file: Path) -> Iterator[tuple[str, str]]:
    """What a person can read or copy out of a PDF, by two independent readers where there are two."""
    yield "PDF text", "\n".join(page.extract_text().replace("\t", " ") for page in PdfReader(file).pages)
    if shutil.which("pdftotext"):
        ran = subprocess.run(["pdftotext", str(file), "-"], capture_output=True, check=True, text=True)
        yield "PDF text", ran.stdout


def in_bytes(name: str, data: bytes) -> Iterator[tuple[str, str]]:
    for coding in ("utf-8", "latin-1", "utf-16-le", "utf-16-be"):
        yield f"{name} as {coding}", data.decode(coding, errors="ignore")


def squeezed(text: str) -> str:
    return re.sub(r"[\s_\-]+", " ", text).casefold()


def told(path: Path) -> list[str]:
    """Which secrets a file gives away."""
    found = []
    for where, text in texts(path):
        flat = squeezed(text)
        found += [f"{word!r} in {where}" for word in WORDS.values() if squeezed(word) in flat]
        # A content stream is full of figures of its own; what it shows is looked for in the extracted text.
        if not where.startswith("PDF stream"):
            found += [f"{piece!r} in {where}" for piece in NUMBERS if piece.casefold() in text.casefold()]
    return found


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("reader", READERS, ids=lambda r: r.precision.name)
def test_nothing_gets_out(
    kind: Kind, reader: Reader, read: Read, press: Press, makers: PaperMaker, fonts: object, tmp_path: Path
) -> None:
    press = replace(press, person="Wilma Thornbeck")
    target = write(order_of(kind, reader), tmp_path / "out", read, press, makers)
    assert told(target) == []
    assert target.stat().st_size > 0


@pytest.mark.parametrize("kind", [Kind.SHEET, Kind.LABELS, Kind.PACKET, Kind.GROUP, Kind.ARCHIVE, Kind.TABLE])
@pytest.mark.parametrize(
    ("reader", "province", "county"),
    [
        (Reader(Precision.HIDDEN), False, False),
        (Reader(Precision.TEN_KM), True, False),
        (Reader(Precision.TEN_KM, site=True), True, True),
        (Reader(Precision.EXACT, deliberate=True), True, True),
    ],
)
def test_how_much_region_goes_out(
    kind: Kind,
    reader: Reader,
    province: bool,
    county: bool,
    read: Read,
    press: Press,
    makers: PaperMaker,
    fonts: object,
    tmp_path: Path,
) -> None:
    """The country always, the province with a square, the county only with the site or a small square."""
    target = write(order_of(kind, reader), tmp_path / "out", read, press, makers)
    words = squeezed(" ".join(text for where, text in texts(target) if "stream" not in where))
    assert squeezed(COUNTRY) in words
    assert (squeezed(PROVINCE) in words) is province
    assert (squeezed(WORDS["county"]) in words) is county


def test_the_search_finds_what_is_there(
    read: Read, press: Press, makers: PaperMaker, fonts: object, tmp_path: Path
) -> None:
    """The same search over papers that may say all: otherwise the test above could not fail."""
    everything = Reader(Precision.EXACT, names=True, notes=True, site=True, deliberate=True)
    sheet = write(order_of(Kind.SHEET, everything), tmp_path / "sheet", read, press, makers)
    words = told(sheet)
    for secret in (WORDS["site"], WORDS["collector"], "52.657", "TG514131"):
        assert any(repr(secret) in line and "PDF text" in line for line in words)
    table = write(order_of(Kind.TABLE, everything), tmp_path / "table", read, press, makers)
    assert any("'52.657'" in line or "'52.658'" in line for line in told(table))
    original = next(Path(p.path) for one in read_all(read) for p in one.photos)
    assert any(WORDS["owner"] in line for line in told(original))


def read_all(read: Read) -> tuple[Gathered, ...]:
    return gather_all(order_of(Kind.TABLE, Reader()), read)


@pytest.mark.parametrize("kind", sorted(FILES))
def test_previews_say_no_more_than_files(
    kind: Kind, read: Read, press: Press, makers: PaperMaker, fonts: object, tmp_path: Path
) -> None:
    order = order_of(kind, Reader(Precision.TEN_KM))
    paper = file_preview(order, gather_all(order, read), press, makers)
    target = tmp_path / "preview.pdf"
    write_pdf([paper], target, title="preview")
    assert told(target) == []


def test_pictures_carry_only_their_credit(
    read: Read, press: Press, makers: PaperMaker, fonts: object, tmp_path: Path
) -> None:
    """Read back by three independent readers: no EXIF, no place, no thumbnail; author and licence as IPTC."""
    order = order_of(Kind.PICTURES, Reader())
    folder = write(order, tmp_path / "copies", read, press, makers)
    copies = sorted(folder.iterdir())
    assert [copy.name for copy in copies] == [f"2025-00{n}-0{p}.jpg" for n in (1, 2, 3) for p in (1, 2)]
    for copy in copies:
        with copy.open("rb") as file:
            assert exifread.process_file(file) == {}
        with Image.open(copy) as image:
            assert not image.getexif()
            assert image.size == (800, 600)
        with pyexiv2.Image(str(copy)) as tagged:
            assert tagged.read_exif() == {}
            assert tagged.read_comment() == ""
            assert tagged.read_icc() in (b"", None)
            assert set(tagged.read_iptc()) == {
                "Iptc.Envelope.CharacterSet",
                "Iptc.Application2.Byline",
                "Iptc.Application2.Copyright",
            }
            assert tagged.read_iptc()["Iptc.Application2.Byline"] == ["Chosen Author"]
            assert tagged.read_xmp()["Xmp.dc.creator"] == ["Chosen Author"]


def test_original_files_stand_untouched(
    read: Read, press: Press, makers: PaperMaker, fonts: object, tmp_path: Path
) -> None:
    before = {p.path: Path(p.path).read_bytes() for one in read_all(read) for p in one.photos}
    write(order_of(Kind.PICTURES, Reader()), tmp_path / "copies", read, press, makers)
    assert {path: Path(path).read_bytes() for path in before} == before


def written_ways() -> list[str]:
    """Three places in every notation of the program that reaches them."""
    ways = []
    for position in (
        Position(52.657977, 1.716052),
        Position(-33.857, 151.215),
        Position(53.349794, -6.260248),
    ):
        for notation in Notation:
            try:
                ways.append(write_position(position, notation, 8.0))
            except CoordinateError:  # no British reference in Australia
                continue
    return ways


def test_ways_are_many() -> None:
    assert len(written_ways()) >= 20


@pytest.mark.parametrize("words", written_ways())
def test_every_notation_of_ours_is_blotted_out(words: str) -> None:
    kept = secrets((), places=True)
    out = scrubbed(f"oak, {words}, mossy", kept)
    assert out.startswith("oak, ")
    assert out.endswith(", mossy")
    figures = [f for f in re.findall(r"\d{3,}", words) if f != "000"]
    assert not any(figure in out for figure in figures)


@pytest.mark.parametrize("words", WAYS)
def test_every_way_of_people_is_blotted_out(words: str) -> None:
    out = scrubbed(f"found at {words} by the path", secrets((), places=True))
    assert not any(piece.casefold() in out.casefold() for piece in NUMBERS)
    assert out.startswith("found at ")
    assert out.endswith(" by the path")


@pytest.mark.parametrize(
    "words",
    [
        "ny 2168 0930",
        "NY-2168-0930",
        "NY216830 093050",
        "NY20E",
        "ny20e",
        "NY 20 SE",
        "30U 486357 6036005",
        "easting 321683 northing 509305",
        "54·4718263",
        "54.4718263",
        "54 deg 28 min 18.6 sec",
        "54 degrees 28 minutes 18.6 seconds north",
        "54.4\u200b718263, -3.2\u200b10642",
        "54.471\u00ad8263 -3.210\u206064",
        "54.47\n18263, -3.21\u00a00642",
        "54.4718263,\n-3.210642",
        "NY\u00a02168\n0930",
        "54471826 -3210642",
        "IO84jl",
        "io84JL27",
        "gcty8uu1z",
        "filled.count.soap",
        "///filled.count.soap",
        "CA20 1EX",
        "ca201ex",
        "５４．４７１８２６３",
        "ＮＹ ２１６８ ０９３０",
    ],
)
def test_every_way_that_was_found_to_leave_is_blotted_out(words: str) -> None:
    """Each stood on a paper 'with no place' once. Shapes only: the spot is invented."""
    out = scrubbed(f"oak wood, {words}, mossy", secrets((), places=True))
    assert out.startswith("oak wood, ")
    assert out.endswith(", mossy")
    left = out.removeprefix("oak wood, ").removesuffix(", mossy").replace("[withheld]", "")
    assert not re.search(r"[^\W_]{2,}", left.replace("north", "")), out
    assert words in " ".join(places_in(f"oak wood, {words}, mossy")) or places_in(words)


def test_a_name_with_something_invisible_inside_is_still_the_name() -> None:
    kept = secrets(("Thornbeck",), places=False)
    assert scrubbed("with Thorn\u200bbeck and Ｔｈｏｒｎｂｅｃｋ", kept) == "with [withheld] and [withheld]"


def test_the_last_look_names_what_still_looks_like_a_place() -> None:
    text = "Amanita virosa\nbeech, NY-2168-0930, moss\nNY-2168-0930 again, and 54·4718263"
    assert places_in(text) == ("NY-2168-0930", "54·4718263")
    assert places_in("cap 34–61 mm on 2025-10-18, find 2025-014, spores 8.5 µm") == ()


@pytest.mark.parametrize(
    "words",
    [
        "spores (8.1) 8.5–10.2 × 6.0–7.1 µm, Q = 1.38, n = 30",
        "cap 34–61 mm, stem 96 mm long and 12 mm wide",
        "on 2025-10-18 at 14:07, second of three",
        "KOH 20 %, yellow after 30 s; FeSO4 10 %",
        "found 3 m N of the path, under Quercus",
        "Methuen 5B4, 2.5Y 8/4",
        "2025-014",
        "at 12 °C, 85 % damp",
        "leg. det. conf. after 3 days, cap 4.25 cm",
        "gills white; stem base bulbous, 1.2–1.35 cm across, in 2025",
        "IMG_2206.JPG, card 4",
        "Pictures: 3 of 12, 40 min apart",
        "basidia 4-spored, 30–45 × 7.5–9.25 µm; cystidia 2 of 30",
        "½ grown, 10² spores",
    ],
)
def test_figures_of_the_trade_stay(words: str) -> None:
    assert scrubbed(words, secrets((), places=True)) == words


def test_secret_words_in_any_dress() -> None:
    kept = secrets(("José Núñez", "Elm  Holt", "ab"), places=False)
    assert scrubbed("JOSE NUNEZ and José Núñez", kept) == "[withheld] and [withheld]"
    assert (
        scrubbed("elm_holt, Elm\nHolt, elm-holt, Elmholtz", kept)
        == "[withheld], [withheld], [withheld], Elmholtz"
    )
    assert scrubbed("ab initio", kept) == "ab initio"  # too short to be searched for


def test_exact_only_with_the_deliberate_yes() -> None:
    assert precision_for(Reader(Precision.EXACT), private=False) is Precision.ONE_KM
    assert precision_for(Reader(Precision.EXACT), private=True) is Precision.TEN_KM
    assert precision_for(Reader(Precision.ONE_KM), private=True) is Precision.TEN_KM
    assert precision_for(Reader(Precision.ONE_KM), private=False) is Precision.ONE_KM
    assert precision_for(Reader(Precision.HIDDEN), private=False) is Precision.HIDDEN
    assert precision_for(Reader(Precision.EXACT, deliberate=True), private=True) is Precision.EXACT


def test_a_copy_that_is_not_clean_is_refused() -> None:
    from catalog_gui.outputs.safe_picture import Credit, what_remains

    plain = io.BytesIO()
    image = Image.new("RGB", (40, 30), "white")
    image.save(plain, "JPEG")
    assert what_remains(plain.getvalue(), Credit()) == ()
    for extra in (
        {"exif": b"Exif\x00\x00II*\x00\x08\x00\x00\x00\x00\x00"},
        {"comment": b"here"},
        {"icc_profile": b"x" * 40},
    ):
        data = io.BytesIO()
        image.save(data, "JPEG", **extra)
        assert what_remains(data.getvalue(), Credit())
    assert what_remains(plain.getvalue() + b"tail", Credit())
    assert what_remains(plain.getvalue()[:-40], Credit())


def test_paper_of_every_kind_can_be_made(read: Read, press: Press, makers: PaperMaker) -> None:
    for kind in Kind:
        if kind in FILES:
            continue
        order = order_of(kind, Reader())
        needed = order.needs(0)
        found = tuple(one for one in read_all(read) if one.specimen.id in needed)
        assert make_paper(order, found, press, makers).blocks


@pytest.mark.parametrize("kind", [Kind.SHEET, Kind.LABELS, Kind.ARCHIVE, Kind.TABLE, Kind.GROUP])
def test_each_permission_stands_for_itself(
    kind: Kind, read: Read, press: Press, makers: PaperMaker, fonts: object, tmp_path: Path
) -> None:
    """The exact place without people; people without the place; serials and paths in neither."""
    never = (WORDS["serial"], WORDS["folder"], WORDS["owner"], WORDS["maker"], WORDS["comment"])
    people = (WORDS["collector"], WORDS["determiner"], WORDS["guest"], WORDS["permission"])
    place_only = write(
        order_of(kind, Reader(Precision.EXACT, deliberate=True)), tmp_path / "place", read, press, makers
    )
    words = told(place_only)
    assert not [line for line in words if any(repr(word) in line for word in (*never, *people))]
    if kind is not Kind.GROUP:
        assert any("'52.65" in line for line in words)
    people_only = write(
        order_of(kind, Reader(Precision.TEN_KM, names=True)), tmp_path / "people", read, press, makers
    )
    words = told(people_only)
    assert not [
        line for line in words if any(repr(word) in line for word in (*never, WORDS["site"], *NUMBERS))
    ]
    assert any(repr(WORDS["collector"]) in line for line in words)
