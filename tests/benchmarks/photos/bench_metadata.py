"""First look at 12 MP pictures against exiftool's batch mode.

Run: `python -m tests.benchmarks.photos.bench_metadata [COUNT]`. Both read the same files in turn, warm, best
of five each. exiftool gets `-fast2` (no maker's notes, nothing after the header) and exactly the tags we
take; its start is also given without, by taking off `exiftool -ver`. Ours includes finding the files, the
size and the fingerprint of each, which exiftool does not do. Aim: 5 times.

The last lines give the directory reader against exifread on the same block: why it is our own.
"""

from __future__ import annotations

import io
import json
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

from catalog_gui.domain.photo import Photo
from catalog_gui.photos.exif import read_block
from catalog_gui.photos.files import DiskPictures
from tests.simulated import pictures

TAGS = [
    *("Make", "Model", "SerialNumber", "Orientation", "ImageWidth", "ImageHeight"),
    *("DateTimeOriginal", "SubSecTimeOriginal", "OffsetTimeOriginal", "GPSDateStamp", "GPSTimeStamp"),
    *("GPSLatitude", "GPSLongitude", "GPSAltitude", "GPSMapDatum", "GPSHPositioningError"),
    *("GPSImgDirection", "GPSImgDirectionRef"),
]
_ROUNDS = 5


def _seconds(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def _best(work: Callable[[], object]) -> float:
    return min(_seconds(work) for _ in range(_ROUNDS))


def _read_one(path: str) -> object:
    return DiskPictures().read(path)


def main(count: int = 200) -> None:
    """Print the figures and the ratio."""
    exiftool = shutil.which("exiftool")
    if exiftool is None:
        sys.exit("exiftool is not installed; the benchmark needs it.")
    with tempfile.TemporaryDirectory() as folder:
        paths = pictures.make(Path(folder), count)
        reader = DiskPictures()

        def ours() -> list[tuple[str, object]]:
            found = [one for one in reader.find([folder]) if isinstance(one, str)]
            return list(reader.read_many(found, progress=lambda _: None, cancelled=lambda: False))

        wanted = [f"-{tag}" for tag in TAGS]
        theirs = [exiftool, "-fast2", "-q", "-n", "-json", *wanted, folder]

        def batch() -> str:
            return subprocess.run(theirs, capture_output=True, check=True, text=True).stdout

        told = {Path(entry["SourceFile"]).name: entry for entry in json.loads(batch())}
        for path, photo in ours():
            assert isinstance(photo, Photo)
            assert photo.fix is not None
            assert abs(photo.fix.position.latitude - told[Path(path).name]["GPSLatitude"]) < 1e-7
        mine, other = _best(ours), _best(batch)
        start = _best(lambda: subprocess.run([exiftool, "-ver"], capture_output=True, check=True))
        with ThreadPoolExecutor(2) as threads, ProcessPoolExecutor(2) as processes:
            list(processes.map(_read_one, paths[:4]))
            two_threads = _best(lambda: list(threads.map(_read_one, paths)))
            two_processes = _best(lambda: list(processes.map(_read_one, paths, chunksize=25)))
    print(f"{count} pictures of 12 MP, best of {_ROUNDS}")
    print(f"ours                        {1e3 * mine / count:7.3f} ms a picture (one thread, as shipped)")
    print(f"ours on two threads         {1e3 * two_threads / count:7.3f} ms a picture")
    print(
        f"ours on two processes       {1e3 * two_processes / count:7.3f} ms a picture, their start left out"
    )
    print(f"exiftool -fast2             {1e3 * other / count:7.3f} ms a picture, start included")
    print(f"exiftool -fast2             {1e3 * (other - start) / count:7.3f} ms a picture, start taken off")
    print(f"ratio, start taken off      {(other - start) / mine:7.1f}   (aim: at least 5)")
    print(f"ratio, start included       {other / mine:7.1f}")
    block = pictures.notes(3, b"\xff\xd8" + bytes(5000))
    own = _best(lambda: [read_block(block) for _ in range(200)]) / 200
    try:
        import exifread
    except ImportError:
        print("exifread is not installed; the comparison of readers is left out.")
        return
    library = (
        _best(lambda: [exifread.process_file(io.BytesIO(block), details=False) for _ in range(200)]) / 200
    )
    print(f"one block, our reader       {1e3 * own:7.3f} ms")
    print(f"one block, exifread         {1e3 * library:7.3f} ms, ratio {library / own:.1f}")


if __name__ == "__main__":
    main(*(int(one) for one in sys.argv[1:2]))
