"""Cut off and flipped files: a photo or a refusal with a sentence; nothing else is raised, nothing hangs."""

from __future__ import annotations

import io
import os
import random
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from PIL.JpegImagePlugin import JpegImageFile

from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import PictureRefused, Refusal
from catalog_gui.photos import pixels
from catalog_gui.photos.files import DiskPictures
from tests.photos.scenes import every_format, jpeg

# Under pytest, Pillow's warnings about damage are let through again; the program silences them.
pytestmark = pytest.mark.filterwarnings("ignore::UserWarning")

FILES = every_format()
NAMES = sorted(FILES)


def refused_by(work: Callable[[], object]) -> PictureRefused | None:
    try:
        work()
    except PictureRefused as refusal:
        return refusal
    return None


def use(path: Path) -> str:
    """Everything that the program may ask of a file; says how it ended."""
    found = DiskPictures().read(str(path))
    if isinstance(found, Refusal):
        assert found.path == str(path)
        assert found.reason.endswith(".")
        assert len(found.reason) > 10
    else:
        assert isinstance(found, Photo)
        assert found.width > 0
        assert found.height > 0
        assert found.written.local or found.written.problem
        assert found.fix is None or not found.fix_problem
    for work in (
        lambda: pixels.thumbnail(str(path), 32),
        lambda: pixels.embedded_preview(str(path)),
        lambda: pixels.upright(str(path)),
        lambda: pixels.region(str(path), (1, 1, 20, 20), 16),
    ):
        refusal = refused_by(work)
        if refusal is not None:
            assert refusal.path == str(path)
            assert refusal.reason.endswith(".")
    return "refused" if isinstance(found, Refusal) else "taken in"


@pytest.mark.parametrize("name", NAMES)
def test_cut_off_at_every_power_of_two(tmp_path: Path, name: str) -> None:
    whole = FILES[name]
    ends = []
    size = 0
    while size < len(whole):
        path = tmp_path / f"{size}_{name}"
        path.write_bytes(whole[:size])
        ends.append(use(path))
        size = max(1, 2 * size)
    assert ends[0] == "refused"  # nothing at all
    assert ends[3] == "refused"  # four bytes
    path = tmp_path / name
    path.write_bytes(whole)
    assert use(path) == "taken in"


@pytest.mark.parametrize("name", NAMES)
def test_random_damage(tmp_path: Path, name: str) -> None:
    rng = random.Random(name)
    path = tmp_path / name
    for _ in range(60):
        data = bytearray(FILES[name])
        for _ in range(rng.choice((1, 3, 20))):
            at = rng.randrange(min(len(data), rng.choice((40, 400, 100_000))))
            data[at] = rng.randrange(256)
        path.write_bytes(data)
        use(path)


def test_real_files_cut_off_and_flipped(tmp_path: Path, pictures_folder: Path) -> None:
    rng = random.Random(7)
    names = [
        "gps/DSCN0010.jpg",
        "heic/samplefilehub.heif",
        "cameras/Canon_PowerShot_S40.jpg",
        "cameras/Nikon_D70.jpg",
    ]
    for name in names:
        whole = (pictures_folder / name).read_bytes()
        path = tmp_path / Path(name).name
        for turn in range(40):
            data = bytearray(whole[: rng.randrange(1, len(whole))] if turn % 2 else whole)
            for _ in range(turn % 5):
                data[rng.randrange(min(len(data), 3000))] ^= 1 << rng.randrange(8)
            path.write_bytes(data)
            use(path)


def test_the_reasons_say_what_happened(tmp_path: Path) -> None:
    reader = DiskPictures()

    def reason(path: Path) -> str:
        found = reader.read(str(path))
        assert isinstance(found, Refusal)
        return found.reason

    empty = tmp_path / "empty.jpg"
    empty.write_bytes(b"")
    assert "empty" in reason(empty)
    cut = tmp_path / "cut.jpg"
    cut.write_bytes(jpeg()[:60])
    assert "cut off" in reason(cut)
    assert "no longer there" in reason(tmp_path / "gone.jpg")
    assert "folder" in reason(tmp_path)
    assert isinstance(reader.read("a\0b"), Refusal)


def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.jpg"
    os.mkfifo(pipe)
    found = DiskPictures().read(str(pipe))
    assert isinstance(found, Refusal)
    assert "pipe" in found.reason


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_without_permission_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg())
    path.chmod(0)
    found = DiskPictures().read(str(path))
    assert isinstance(found, Refusal)
    assert "permission" in found.reason


def test_a_picture_cut_off_after_its_header_is_taken_in_and_its_pixels_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    whole = jpeg(800, 600)
    path.write_bytes(whole[: len(whole) // 2])
    found = DiskPictures().read(str(path))
    assert isinstance(found, Photo)
    assert (found.width, found.height) == (800, 600)
    with pytest.raises(PictureRefused, match="damaged or cut off"):
        pixels.thumbnail(str(path), 64)


def _claims(jpeg: bytes, width: int, height: int) -> bytes:
    """The same file with another size in its frame header (SOF0 or SOF2; ITU T.81, B.2.2)."""
    at = next(at for mark in (b"\xff\xc0", b"\xff\xc2") if (at := jpeg.find(mark)) >= 0)
    return jpeg[: at + 5] + height.to_bytes(2, "big") + width.to_bytes(2, "big") + jpeg[at + 9 :]


def test_a_progressive_picture_that_would_fill_the_memory_is_refused_before_it_is_decoded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """567 bytes that claimed 30,000 x 30,000 took 5.2 GB: the decoder keeps every coefficient."""

    def never(_: object) -> None:
        raise AssertionError("decoded")

    for subsampling, side, words in ((0, 30_000, "5400 MB"), (2, 30_000, "2700 MB"), (0, 11_000, "726 MB")):
        small = io.BytesIO()
        Image.new("RGB", (16, 16), "white").save(small, "JPEG", progressive=True, subsampling=subsampling)
        hostile = tmp_path / f"{side}-{subsampling}.jpg"
        hostile.write_bytes(_claims(small.getvalue(), side, side))
        with monkeypatch.context() as patch:
            patch.setattr(JpegImageFile, "load", never)
            for ask in (
                lambda path: pixels.thumbnail(path, 320),
                pixels.upright,
                lambda path: pixels.region(path, (0, 0, 100, 100), 100),
            ):
                with pytest.raises(PictureRefused, match=words) as caught:
                    ask(str(hostile))
                assert caught.value.path == str(hostile)
                assert "save it as an ordinary" in caught.value.reason


def test_an_honest_progressive_picture_is_shown(tmp_path: Path) -> None:
    honest = tmp_path / "honest.jpg"
    Image.new("RGB", (3000, 2000), "olive").save(honest, "JPEG", progressive=True)
    assert pixels.thumbnail(str(honest), 320).width == 320
