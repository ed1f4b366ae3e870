"""How long the GUI thread is held, and how long it takes, to export two hundred finds with pictures.

Run: `python -m tests.benchmarks.catalogue.bench_export [FINDS] [PICTURES]` (offscreen unless QT_QPA_PLATFORM is
set). Seeded camera pictures of 12 megapixels, PICTURES to a find, four of them different; every find is named and
described. The window stands on Hand on, and is repainted all the while. A timer of 2 ms runs in the GUI
thread: the longest gap between two ticks, less the timer's own 2 ms, is how long the event loop was held
(`bench_event_loop.Watch`). A busy machine lengthens that, so beside it stands how much of a hold the program
can have caused: no more than the processor time that all its threads used meanwhile (whoever keeps the
interpreter's lock uses the processor). Aim: never over 50 ms.

References of the same run: the window idle while another process, with Pillow alone, reads the same pictures,
reduces them to the size of a panel and writes them as JPEG. Its longest hold is what the machine does by
itself; its seconds are what the times are ratios of.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from catalog_gui.views.outputs import hand_over

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication, QCheckBox

from catalog_gui.app import build_window
from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray, Group, Place
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.geo.position import Position
from catalog_gui.views.outputs import page as hand_on
from catalog_gui.views.outputs.painter import write_pdf
from catalog_gui.views.outputs.press_room import write_pdf_in_subprocess
from catalog_gui.workflows.publish.order import Kind
from catalog_gui.workflows.publish.pictures import PANEL_EDGE
from tests.benchmarks.evening.bench_event_loop import AIM_MS, Watch, spin
from tests.simulated import pictures

NOON = datetime(2025, 10, 18, 11, 0, tzinfo=UTC)
DIFFERENT = 4
NAMES = (("Amanita citrina", "amanita-citrina"), ("Amanita phalloides", "amanita-phalloides"))
SEEN = (
    ("whole.form", "agaric"), ("gills.colour", "white"), ("cap.colour", "yellow"), ("smell.kind", "mealy"),
)  # fmt: skip

PILLOW = """
import io, sys, time
from PIL import Image
begun = time.perf_counter()
edge = int(sys.argv[1])
for path in sys.stdin.read().split("\\n"):
    with Image.open(path) as image:
        image.draft("RGB", (edge, edge))
        image.thumbnail((edge, edge), reducing_gap=2.0)
        image.save(io.BytesIO(), "JPEG", quality=90)
print(time.perf_counter() - begun)
"""


def fill(folder: Path, card: Path, finds: int, each: int) -> list[str]:
    """A catalogue of so many finds, and the paths of their pictures (links to a few files)."""
    originals = pictures.make(card / "originals", DIFFERENT)
    paths = [str(card / f"IMG_{number:04d}.jpg") for number in range(finds * each)]
    for number, path in enumerate(paths):
        os.link(originals[number % DIFFERENT], path)
    place = Place(Position(52.657977, 1.716052), 5.0, "phone")
    catalogue = open_catalogue(folder, now=lambda: NOON)
    with catalogue.step("Fill") as work:
        work.forays.put(
            Foray("walk", "Long walk", "Quillmoor", NOON, NOON + timedelta(hours=5), "Europe/London")
        )
        for n in range(finds):
            mine = paths[n * each : (n + 1) * each]
            photos = [
                Photo(
                    f"p{n}-{at}", path, format="JPEG", width=pictures.WIDTH, height=pictures.HEIGHT,
                    size_bytes=Path(path).stat().st_size, quick_key=f"{n}-{at}", foray_id="walk", group_id=f"g{n}",
                )
                for at, path in enumerate(mine)
            ]  # fmt: skip
            at = NOON + timedelta(minutes=n)
            name, taxon = NAMES[n % 2]
            work.photos.put(*photos)
            work.groups.put(
                Group(f"g{n}", "walk", tuple(p.id for p in photos), at, at, place, specimen_id=f"s{n}")
            )
            work.specimens.put(
                Specimen(f"s{n}", f"2025-{n + 1:03d}", "walk", at, place, "Bram Ollerton", "Quillmoor")
            )
            work.determinations.put(
                Determination(
                    f"d{n}", f"s{n}", name, taxon, determined_on=date(2025, 10, 18), entered_at=NOON
                )
            )
            work.evidence.put(
                *(Evidence(f"e{n}-{f}", f"s{n}", f, Standing.SEEN, (state,)) for f, state in SEEN),
                Evidence(f"e{n}-w", f"s{n}", "cap.width", Standing.SEEN, (), 80.0, 95.0, "mm"),
            )
    catalogue.close()
    return paths


class Blame(Watch):
    """Also notes, of every hold, what the program itself can have caused of it, in ms."""

    def __init__(self) -> None:
        super().__init__()
        self.ours: list[float] = []
        self._used = 0.0

    def start(self) -> None:
        """Begin anew."""
        self.ours = []
        self._used = time.process_time()
        super().start()

    def _tick(self) -> None:
        super()._tick()
        now = time.process_time()
        self.ours.append(min(self.holds[-1], (now - self._used) * 1e3))
        self._used = now

    def words(self) -> str:
        """Holds in words, after `stop`."""
        late, blamed = (sum(one > AIM_MS for one in some) for some in (self.holds, self.ours))
        return (
            f"held {max(self.holds):.0f} ms at most ({late} over {AIM_MS:.0f} ms), "
            f"by the program itself {max(self.ours):.0f} ms at most ({blamed} over)"
        )


def idle_beside_pillow(watch: Blame, paths: list[str]) -> tuple[str, float]:
    """The holds of an idle window and the seconds that Pillow alone needs, both at once."""
    process = subprocess.Popen(
        [sys.executable, "-c", PILLOW, str(PANEL_EDGE)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None
    process.stdin.write("\n".join(paths))
    process.stdin.close()
    watch.start()
    while process.poll() is None:
        spin(50)
    watch.stop()
    assert process.stdout is not None
    return watch.words(), float(process.stdout.read())


def main(finds: int = 200, each: int = 3) -> None:
    """Print holds and times."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        card = folder / "card"
        card.mkdir()
        paths = fill(folder / "catalogue", card, finds, each)
        application = QApplication([])
        window = build_window(
            application, folder=str(folder / "catalogue"), preferences_file=folder / "p.json"
        )
        window.resize(1366, 768)
        window.show()
        window.bench.choose_foray("walk")
        window.show_page("outputs")
        page = window.pages["outputs"]
        assert isinstance(page, hand_on.HandOnPage)
        while not page.choices.ticked() or not page.preview_is_up_to_date:
            spin(50)
        spin(1000)
        watch = Blame()
        idle, pillow_s = idle_beside_pillow(watch, paths)
        print(f"{finds} finds with {each} pictures each; window idle beside Pillow: {idle}")
        print(f"reference: Pillow alone reduces and writes the {len(paths)} pictures in {pillow_s:.1f} s")
        apart = write_pdf_in_subprocess
        for words, kind, write, target in (
            ("specimen sheets, previews made on the way", Kind.SHEET, apart, "first.pdf"),
            ("the same again, previews at hand", Kind.SHEET, apart, "again.pdf"),
            ("for comparison in a thread of the program", Kind.SHEET, write_pdf, "thread.pdf"),
            ("archive with pictures", Kind.ARCHIVE, apart, "archive.zip"),
            ("clean copies of the pictures, marks burnt in", Kind.PICTURES, apart, "copies"),
        ):
            hand_over.write_pdf_in_subprocess = write  # type: ignore[attr-defined]  # as the page does it
            page.choices.set_kind(kind)
            page.choices.tick(None)
            for box in page.choices.options.findChildren(QCheckBox):
                box.setChecked(True)
            while not page.preview_is_up_to_date:
                spin(50)
            watch.start()
            begun = time.perf_counter()
            page.save(folder / target)
            while page.running:
                spin(20)
                page.update()
            seconds = time.perf_counter() - begun
            watch.stop()
            assert (folder / target).exists()
            print(f"{words}: {watch.words()}; {seconds:.1f} s, {seconds / pillow_s:.1f} times the reference")
        window.close()


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
