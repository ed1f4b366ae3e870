"""PDFs read back: fonts embedded, text extractable, nothing lost over pages, whole or not at all."""

from __future__ import annotations

import gc
import os
import re
import shutil
import subprocess
import sys
import weakref
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.page import (
    A4_MM,
    LETTER_MM,
    Beside,
    Gap,
    HazardBlock,
    Overlay,
    Paper,
    PictureBlock,
    PictureRow,
    PlacedPage,
    PlacedText,
    PrintedHazard,
    TableBlock,
    Text,
    Weight,
)
from catalog_gui.domain.photo import Raster
from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.views.outputs.layout import lay_out
from catalog_gui.views.outputs.painter import burn_marks, page_image, write_pdf

pytestmark = pytest.mark.usefixtures("fonts")


def raster(width: int = 300, height: int = 200, grey: int = 128) -> Raster:
    return Raster(width, height, bytes([grey]) * (width * height * 3))


def needs(tool: str) -> None:
    """Skip where Debian's poppler-utils are missing: they render and list what is in a PDF."""
    if shutil.which(tool) is None:
        pytest.skip(f"{tool} is not installed (Debian package poppler-utils)")


def text_of(path: Path) -> str:
    """The text as it can be copied out, a form feed after each page."""
    if shutil.which("pdftotext") is None:
        pages = [page.extract_text().replace("\t", " ") for page in PdfReader(path).pages]
        return "".join(f"{page}\f" for page in pages)
    ran = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True, text=True)
    return ran.stdout


def pixels(path: Path, dots: int = 50) -> list[np.ndarray]:
    """The pages as another program renders them, grey."""
    needs("pdftoppm")
    base = path.with_suffix("")
    subprocess.run(["pdftoppm", "-r", str(dots), "-gray", str(path), str(base)], check=True)
    files = sorted(path.parent.glob(f"{base.name}-*.pgm"))
    return [np.asarray(Image.open(file)) for file in files]


def long_paper(size: tuple[float, float] = A4_MM) -> Paper:
    rows = tuple((f"part{n}", f"feature{n}", "word " * (n % 37)) for n in range(120))
    picture = PictureBlock(
        raster(), "a caption", (Overlay(((0.2, 0.2), (0.5, 0.5)), arrow=True, label="ring"),), 80.0
    )
    return Paper(
        "Long",
        (
            Text("Title with a very long name " * 8, Weight.TITLE),
            Text("Amanita cf. phalloides", Weight.TAXON),
            HazardBlock(
                "not excluded",
                tuple(PrintedHazard("fatal", f"Taxon{n}", "reason " * 40) for n in range(60)),
            ),
            Text(CAUTION, Weight.CAUTION),
            *(PictureRow((picture, "no picture", picture, ""), 40.0) for _ in range(10)),
            TableBlock(
                ("Part", "Feature", "What"), (*rows, ("tall", "row", "endless " * 2500)), (0.2, 0.3, 0.5)
            ),
            Gap(10),
            Text("The last words."),
        ),
        size,
        "foot words",
    )


def test_nothing_is_lost_over_the_pages(tmp_path: Path) -> None:
    target = tmp_path / "long.pdf"
    pages = write_pdf([long_paper()], target, title="Long")
    text = text_of(target)
    assert len(PdfReader(target).pages) == pages > 8
    for n in range(120):
        assert f"feature{n}" in text
    for n in range(60):
        assert f"Taxon{n}:" in text
    assert text.count("endless") == 2500
    assert "The last words." in text
    assert text.count("foot words") == pages
    heads = [page for page in text.split("\f") if re.search(r"feature\d+", page)]
    assert all(re.search(r"Part\s+Feature\s+What", page) for page in heads)  # heads stand on every page
    assert f"1 of {pages}" in text
    assert f"{pages} of {pages}" in text


def test_caution_is_never_split(tmp_path: Path) -> None:
    """Wherever the box falls, all of its words are on one page."""
    for lines in range(30, 62, 2):
        target = tmp_path / f"c{lines}.pdf"
        blocks = (*(Text(f"line {n}") for n in range(lines)), Text(CAUTION, Weight.CAUTION))
        write_pdf([Paper("c", blocks)], target, title="c")
        pages = [" ".join(page.split()) for page in text_of(target).split("\f")]
        assert sum(CAUTION in page for page in pages) == 1


def test_fonts_are_embedded_and_text_can_be_found(tmp_path: Path) -> None:
    needs("pdffonts")
    target = tmp_path / "fonts.pdf"
    write_pdf([long_paper()], target, title="Fonts")
    table = subprocess.run(["pdffonts", str(target)], capture_output=True, check=True, text=True).stdout
    lines = table.splitlines()[2:]
    assert lines
    for line in lines:
        embedded, _subset, unicode = re.findall(r"\b(yes|no)\b", line)[:3]
        assert embedded == "yes", line
        assert unicode == "yes", line
    assert any("SourceS" in line for line in lines)
    assert "Amanita cf. phalloides" in text_of(target)
    assert PdfReader(target).metadata.title == "Fonts"


@pytest.mark.parametrize("size", [A4_MM, LETTER_MM])
def test_page_sizes(size: tuple[float, float], tmp_path: Path) -> None:
    target = tmp_path / "size.pdf"
    write_pdf([Paper("s", (Text("words"),), size)], target, title="s")
    box = PdfReader(target).pages[0].mediabox
    assert float(box.width) == pytest.approx(size[0] / 25.4 * 72, abs=1.0)
    assert float(box.height) == pytest.approx(size[1] / 25.4 * 72, abs=1.0)


def test_notes_in_every_script(tmp_path: Path) -> None:
    """Right-to-left, combining signs and emoji neither stop the paper nor swallow what stands beside them."""
    words = "before שלום עולם مرحبا بالعالم 🍄🏳️‍🌈 e\u0301 \u202e after \x00 end"
    needs("pdftotext")  # the other reader leaves right-to-left letters in the order of the page
    target = tmp_path / "scripts.pdf"
    write_pdf([Paper("s", (Text(words), TableBlock((), ((words, words),), (0.5, 0.5))))], target, title="s")
    text = text_of(target)
    assert "before" in text
    assert "שלום" in text or "םולש" in text
    assert "after" in text  # an override of direction does not turn it round
    assert "end" in text
    assert "🍄" in text or "mushroom" in text  # a font's picture, or its name where no font has one


def test_ink_stays_on_the_page(tmp_path: Path) -> None:
    """Rendered by another program: the margins are white, the pages are not empty."""
    target = tmp_path / "ink.pdf"
    write_pdf([long_paper()], target, title="ink")
    for number, page in enumerate(pixels(target)):
        edge = round(10 / 25.4 * 50)
        assert page[:edge].min() > 250, number
        assert page[:, :edge].min() > 250, number
        assert page[:, -edge:].min() > 250, number
        assert (page < 128).sum() > 20, number


def test_hazards_read_in_black_and_white(tmp_path: Path) -> None:
    """The signal word has contrast of its own when colour is gone: at least 3 to 1 (WCAG, large type)."""
    target = tmp_path / "bw.pdf"
    blocks = tuple(
        HazardBlock("title", (PrintedHazard(s, "head", "line"),)) for s in ("fatal", "serious", "unpleasant")
    )
    write_pdf([Paper("b", blocks)], target, title="b")
    text = text_of(target)
    for word in ("DANGER", "WARNING", "CAUTION"):
        assert word in text
    (page,) = pixels(target, 100)
    left, right = round(17 / 25.4 * 100), round(45 / 25.4 * 100)
    bands = [y for y in range(page.shape[0]) if np.median(page[y, left:right]) < 235]
    runs = np.split(np.array(bands), np.where(np.diff(bands) > 3)[0] + 1)
    runs = [run for run in runs if len(run) > 15]
    assert len(runs) == 3

    def luminance(grey: float) -> float:
        share = grey / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    for run in runs:
        band = page[run[0] : run[-1], left:right].astype(float)
        ground = float(np.median(band))
        far = band.min() if ground > 120 else band.max()
        light, dark = sorted((luminance(ground), luminance(float(far))), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 3


def test_many_papers_in_one_file(tmp_path: Path) -> None:
    made = 0

    def papers() -> Iterator[Paper]:
        nonlocal made
        for n in range(12):
            made += 1
            assert made - n == 1  # one at a time: memory for one
            yield Paper(f"p{n}", (Text(f"paper number {n}"),), foot=f"f{n}")

    done: list[int] = []
    assert write_pdf(papers(), tmp_path / "many.pdf", title="many", progress=done.append) == 12
    assert done == list(range(1, 13))
    assert "paper number 11" in text_of(tmp_path / "many.pdf")


@pytest.mark.parametrize("stop_after", [0, 3, 11])
def test_stopped_half_way_leaves_what_was_there(stop_after: int, tmp_path: Path) -> None:
    target = tmp_path / "stop.pdf"
    target.write_text("old")
    done: list[int] = []
    papers = (Paper("p", (Text(f"{n}"),)) for n in range(12))
    with pytest.raises(Cancelled):
        write_pdf(
            papers,
            target,
            title="s",
            replace=True,
            progress=done.append,
            cancelled=lambda: len(done) >= stop_after,
        )
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("stop.pdf", "old")]


def test_refusals(tmp_path: Path) -> None:
    paper = Paper("p", (Text("x"),))
    target = tmp_path / "there.pdf"
    target.write_text("old")
    with pytest.raises(BadInput, match="there already"):
        write_pdf([paper], target, title="x")
    with pytest.raises(BadInput, match="does not exist"):
        write_pdf([paper], tmp_path / "no" / "x.pdf", title="x")
    with pytest.raises(BadInput):
        write_pdf([paper], Path("/proc/x.pdf"), title="x")
    with pytest.raises(BadInput, match="nothing"):
        write_pdf([], tmp_path / "empty.pdf", title="x")

    def broken() -> Iterator[Paper]:
        yield paper
        raise BadInput("The picture is gone.", path="/card/IMG_1.jpg")

    with pytest.raises(BadInput, match="IMG_1"):
        write_pdf(broken(), tmp_path / "half.pdf", title="x")
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("there.pdf", "old")]


def test_full_disk(tmp_path: Path) -> None:
    """The system lets no file grow beyond 20 kB: a sentence, and no half PDF."""
    script = """
import os, resource, signal, sys
os.environ["QT_QPA_PLATFORM"] = "offscreen"
from pathlib import Path
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
from PySide6.QtGui import QGuiApplication
app = QGuiApplication([])
import random
from catalog_gui.domain.page import Paper, PictureBlock, PictureRow
from catalog_gui.domain.photo import Raster
from catalog_gui.domain.problem import BadInput
from catalog_gui.views.outputs.painter import write_pdf
noise = Raster(300, 200, random.Random(1).randbytes(300 * 200 * 3))
paper = Paper("p", (PictureRow((PictureBlock(noise),), 80.0),) * 3)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
try:
    write_pdf([paper], Path(sys.argv[1]) / "old.pdf", title="x", replace=True)
except BadInput as refused:
    print(refused)
else:
    raise SystemExit("it was written")
"""
    (tmp_path / "old.pdf").write_text("old")
    ran = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
    )
    assert ran.returncode == 0, ran.stderr
    assert "old.pdf" in ran.stdout
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("old.pdf", "old")]


def test_preview_is_the_page(tmp_path: Path) -> None:
    """The page on screen and the page in the PDF, rendered by another program, show the same."""
    paper = Paper(
        "p",
        (
            Text("A title", Weight.TITLE),
            TableBlock(("A", "B"), (("one", "two"),) * 20, (0.5, 0.5)),
            PictureRow(
                (PictureBlock(raster(grey=60), "dark"), PictureBlock(raster(grey=200), "light")), 50.0
            ),
        ),
    )
    target = tmp_path / "same.pdf"
    write_pdf([paper], target, title="same")
    (printed,) = pixels(target, 50)
    image = page_image(lay_out(paper), 0, 50 / 25.4)
    shown = np.array(
        [[image.pixelColor(x, y).lightness() for x in range(image.width())] for y in range(image.height())],
        float,
    )
    height, width = min(shown.shape[0], printed.shape[0]), min(shown.shape[1], printed.shape[1])
    apart = np.abs(shown[:height, :width] - printed[:height, :width].astype(float))
    assert abs(shown.shape[0] - printed.shape[0]) <= 1
    assert np.mean(apart) < 6.0  # of 255; letters are smoothed differently
    assert np.mean(apart > 100) < 0.02


def test_marks_are_burnt_in_without_covering_their_target() -> None:
    plain = raster(600, 400, 120)
    overlay = Overlay(((0.1, 0.1), (0.5, 0.5)), arrow=True, label="ring")
    burnt = burn_marks(PictureBlock(plain, "", (overlay,), 60.0))
    assert (burnt.width, burnt.height, len(burnt.rgb)) == (600, 400, len(plain.rgb))
    changed = np.frombuffer(burnt.rgb, np.uint8).reshape(400, 600, 3) != 120
    assert changed.any()
    assert changed[:, :, 0].mean() < 0.2
    assert not changed[205:, 305:].any()  # beyond the tip nothing is drawn
    assert burn_marks(PictureBlock(plain)).rgb == plain.rgb


def test_words_too_long_for_a_label_get_smaller_not_lost(tmp_path: Path) -> None:
    words = "\n".join(f"field{n}: " + "value " * 6 for n in range(14))
    page = PlacedPage((PlacedText(words, 10, 10, 95, 60, 10.0),))
    target = tmp_path / "label.pdf"
    write_pdf([Paper("l", (page,))], target, title="l")
    text = text_of(target)
    assert all(f"field{n}:" in text for n in range(14))
    (shown,) = pixels(target, 100)
    below = round(72 / 25.4 * 100)
    assert shown[below:].min() > 250


def test_a_laid_paper_is_gone_when_nobody_holds_it() -> None:
    """Hundreds of papers need no more memory than one: no ring of objects keeps their pictures."""
    gc.collect()
    gc.disable()
    try:
        paper = long_paper()
        seen = weakref.ref(lay_out(paper).pages[0][0])
        assert seen() is None
    finally:
        gc.enable()


def test_what_no_label_can_hold_is_seen_to_be_cut(tmp_path: Path) -> None:
    words = "\n".join(f"field{n}: " + "value " * 12 for n in range(60))
    target = tmp_path / "cut.pdf"
    write_pdf([Paper("l", (PlacedPage((PlacedText(words, 10, 10, 60, 25, 8.0),)),))], target, title="l")
    text = text_of(target)
    assert "field0:" in text
    assert "field59:" not in text
    assert "…" in text


def rows_on(target: Path) -> list[list[str]]:
    return [re.findall(r"row(\d+)x", page) for page in text_of(target).split("\f") if "row" in page]


@pytest.mark.parametrize("count", range(38, 52))
def test_the_last_row_of_a_table_never_stands_alone(count: int, tmp_path: Path) -> None:
    target = tmp_path / "t.pdf"
    table = TableBlock(("A", "B"), tuple((f"row{n}x", "words") for n in range(count)), (0.5, 0.5))
    write_pdf([Paper("t", (table,))], target, title="t")
    pages = rows_on(target)
    assert sum(len(page) for page in pages) == count
    assert all(len(page) > 1 for page in pages)


@pytest.mark.parametrize("count", [1, 2, 7, 60, 130])
def test_a_table_in_halves_loses_nothing_and_balances(count: int, tmp_path: Path) -> None:
    target = tmp_path / "h.pdf"
    rows = tuple(("part" if n == 0 else "", f"row{n}x", "words " * (n % 9)) for n in range(count))
    write_pdf([Paper("h", (TableBlock((), rows, (0.2, 0.3, 0.5), (0,), halves=True),))], target, title="h")
    text = text_of(target)
    assert all(text.count(f"row{n}x") == 1 for n in range(count))
    if count > 2:
        assert text.count("part") >= 2  # said again at the head of the second column


def test_blocks_beside_each_other_stand_on_one_page_or_below_each_other(tmp_path: Path) -> None:
    short = Beside((Text("left words"),), (Text("right words"),))
    long = Beside(tuple(Text(f"l{n}x") for n in range(120)), (Text("after"),))
    target = tmp_path / "b.pdf"
    write_pdf([Paper("b", (short, long))], target, title="b")
    text = text_of(target)
    assert re.search(r"left words\s+right words", text)
    assert all(f"l{n}x" in text for n in range(120))
    assert "after" in text


def test_a_paper_of_few_sides_is_set_smaller_and_else_runs_on() -> None:
    lines = tuple(Text(f"line {n}") for n in range(46))
    assert len(lay_out(Paper("p", lines)).pages) == 2
    small = lay_out(Paper("p", lines, most_sides=1, smallest=0.8))
    assert len(small.pages) == 1
    assert 1.0 < small.shrink <= 1.25
    many = lay_out(Paper("p", lines * 4, most_sides=1, smallest=0.8))
    assert len(many.pages) > 1
    assert many.shrink == 1.0


def test_words_that_part_are_bold_and_drawn(tmp_path: Path) -> None:
    needs("pdffonts")
    plain, bold = tmp_path / "plain.pdf", tmp_path / "bold.pdf"
    row = (("usually sac, rarely none", "x"),)
    write_pdf([Paper("t", (TableBlock((), row, (0.5, 0.5)),))], plain, title="t")
    write_pdf([Paper("t", (TableBlock((), row, (0.5, 0.5), strong=((0, 0, "sac"),)),))], bold, title="t")
    assert "sac" in text_of(bold)
    fonts = [
        subprocess.run(["pdffonts", str(one)], capture_output=True, check=True, text=True).stdout
        for one in (plain, bold)
    ]
    assert fonts[1].count("\n") > fonts[0].count("\n")
