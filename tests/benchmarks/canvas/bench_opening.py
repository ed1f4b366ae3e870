"""How long a large picture takes to appear on the canvas, and how long the window is ever deaf meanwhile.

    python tests/benchmarks/canvas/bench_opening.py [megapixels ...]

Prints milliseconds to the first sight, to the whole picture and to the last halved copy; the longest time
the GUI did not answer; a frame while panning at three zooms, and the same frame painted bare by QPainter
from the whole image in the same run (ratio).
"""

from __future__ import annotations

import itertools
import os
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).resolve().parents[3]))

import numpy as np
from PIL import Image
from PySide6.QtCore import QEventLoop, QRectF, Qt, QTimer
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from catalog_gui import assets
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.domain.foray import Foray, Group
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from catalog_gui.packs.reader import read_packs
from catalog_gui.photos.cached_pictures import CachedPictures
from catalog_gui.settings import Preferences
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.workflows.ports import Surroundings


def picture(path: Path, megapixels: float) -> tuple[int, int]:
    """A JPEG with structure at every size, 3 to 2."""
    wide = round((megapixels * 1e6 * 1.5) ** 0.5)
    high = round(wide / 1.5)
    chance = np.random.default_rng(1)
    small = Image.fromarray(chance.integers(0, 255, (high // 24, wide // 24, 3), dtype=np.uint8))
    small.resize((wide, high), Image.Resampling.BICUBIC).save(path, quality=88)
    return wide, high


def until(condition: Callable[[], bool], limit_s: float = 60.0) -> None:
    """Run the event loop until a condition holds."""
    end = time.perf_counter() + limit_s
    while not condition() and time.perf_counter() < end:
        loop = QEventLoop()
        QTimer.singleShot(2, loop.quit)
        loop.exec()


def measure(megapixels: float) -> None:
    """One size of picture."""
    folder = Path(tempfile.mkdtemp())
    path = folder / "picture.jpg"
    wide, high = picture(path, megapixels)
    now = datetime(2025, 10, 18, 18, tzinfo=UTC)
    catalogue = open_catalogue(folder / "catalogue", now=lambda: now)
    with catalogue.step("Begin") as work:
        work.forays.put(Foray("f", "A walk"))
        work.specimens.put(Specimen("s", "2025-001", "f"))
        work.photos.put(Photo("p", str(path), width=wide, height=high, quick_key="ab" * 16))
        work.groups.put(Group("g", "f", ("p",), specimen_id="s"))
        work.marks.put(
            *(
                Mark(
                    f"m{n}",
                    "p",
                    MarkKind.POINTER,
                    ((wide * (0.3 + 0.04 * n), high * 0.4),) * 2,
                    f"label {n}",
                    "s",
                )
                for n in range(10)
            )
        )
    count = itertools.count()
    reference = read_packs(assets.reference_pack())
    bench = Bench(
        catalogue.another,
        files=None,  # type: ignore[arg-type]
        pictures=PictureSource(CachedPictures(catalogue.previews)),
        reference=reference,
        preferences=Preferences(),
        surroundings=Surroundings(lambda: now, lambda: f"id-{next(count)}"),
        keep_preferences=lambda _: None,
        close_records=catalogue.close,
    )
    for turn in ("first time", "preview kept"):
        canvas = CanvasView(bench)
        canvas.resize(1366, 600)
        canvas.show()
        until(lambda: False, 0.3)
        beats: list[float] = []
        beat = QTimer()
        beat.timeout.connect(lambda beats=beats: beats.append(time.perf_counter()))
        beat.start(1)
        bench.pictures.forget("p")
        start = time.perf_counter()
        canvas.open("p", "s", "cap")
        surface = canvas.surface
        until(lambda canvas=canvas: canvas.surface.picture.anything)  # type: ignore[misc]  # a default in a lambda
        seen = time.perf_counter() - start
        until(lambda canvas=canvas: canvas.surface.picture.whole is not None)  # type: ignore[misc]  # a default in a lambda
        whole = time.perf_counter() - start
        until(lambda canvas=canvas: canvas.surface.settled and not canvas.busy)  # type: ignore[misc]  # a default in a lambda
        done = time.perf_counter() - start
        beat.stop()
        deaf = max((b - a for a, b in itertools.pairwise([start, *beats])), default=0.0)
        print(
            f"{megapixels:g} MP, {turn}: seen {1000 * seen:.0f} ms, whole {1000 * whole:.0f} ms, "
            f"all copies {1000 * done:.0f} ms, longest deafness {1000 * deaf:.0f} ms"
        )
        if turn == "preview kept":
            frames(canvas, surface.zoom)
        canvas.shut()
        canvas.close()
    bench.close()


def frames(canvas: CanvasView, fitted: float) -> None:
    """Milliseconds a frame, against the bare picture painted from the whole image."""
    surface = canvas.surface
    level = surface.picture.whole
    assert level is not None
    for name, zoom in (("fitted", fitted), ("a third", 0.33), ("1 to 1", 1.0)):
        surface.zoom_to(zoom)
        until(lambda: surface.settled)
        target = QImage(surface.viewport().size(), QImage.Format.Format_RGB32)

        def shown_now(target: QImage = target) -> None:
            painter = QPainter(target)
            surface.render(painter)
            painter.end()

        ours = best(shown_now)
        shown = surface.mapToScene(surface.viewport().rect()).boundingRect()
        shown = shown.intersected(surface.picture.boundingRect())
        part = QRectF(
            shown.x() * level.scale,
            shown.y() * level.scale,
            shown.width() * level.scale,
            shown.height() * level.scale,
        )

        def bare(target: QImage = target, shown: QRectF = shown, part: QRectF = part) -> None:
            painter = QPainter(target)
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(
                QRectF(surface.mapFromScene(shown).boundingRect()).intersected(QRectF(target.rect())),
                level.image,
                part,
            )
            painter.end()

        plain = best(bare)
        print(f"   {name}: {1000 * ours:.1f} ms a frame, bare picture {1000 * plain:.1f} ms")


def best(call: Callable[[], object], times: int = 7) -> float:
    """The shortest of several runs, in seconds."""
    spans = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        spans.append(time.perf_counter() - start)
    return min(spans)


if __name__ == "__main__":
    app = QApplication([])
    app.setAttribute(Qt.ApplicationAttribute.AA_DontUseNativeDialogs)
    for size in [float(one) for one in sys.argv[1:]] or [12.0, 50.0]:
        measure(size)
