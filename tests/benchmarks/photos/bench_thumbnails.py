"""512 px previews on two cores against two vipsthumbnail processes.

Run: `python -m tests.benchmarks.photos.bench_thumbnails [COUNT]`. Both read the same 12 MP JPEGs and write a
512 px JPEG for each; the two take turns, and the best of the rounds counts. Processor time is given beside
wall time, as it says the same on a machine that others use too. Aim: at least 1.5 times as fast.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from catalog_gui.photos.previews import Previews
from tests.simulated import pictures

EDGE = 512
_ROUNDS = 3


def _cpu() -> float:
    own, children = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def _timed(work: Callable[[], object]) -> tuple[float, float]:
    wall, cpu = time.perf_counter(), _cpu()
    work()
    return time.perf_counter() - wall, _cpu() - cpu


def main(count: int = 200) -> None:
    """Print the figures and the ratio."""
    vips = shutil.which("vipsthumbnail")
    if vips is None:
        sys.exit("vipsthumbnail (Debian: libvips-tools) is not installed; the benchmark needs it.")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paths = pictures.make(folder / "in", count)

        def ours() -> None:
            store = Previews(str(folder / "ours"))
            with ThreadPoolExecutor(2) as pool:
                list(pool.map(lambda path: store.get(path, Path(path).stem, EDGE), paths))
            shutil.rmtree(folder / "ours")

        def theirs() -> None:
            (folder / "theirs").mkdir()
            halves = paths[: count // 2], paths[count // 2 :]
            out = str(folder / "theirs" / "%s.jpg")
            running = [subprocess.Popen([vips, "--size", str(EDGE), "-o", out, *half]) for half in halves]
            for process in running:
                assert process.wait() == 0
            assert len(list((folder / "theirs").iterdir())) == count
            shutil.rmtree(folder / "theirs")

        mine, other = [], []
        for _ in range(_ROUNDS):
            mine.append(_timed(ours))
            other.append(_timed(theirs))
        one_thread = _timed(
            lambda: [Previews(str(folder / "one")).get(path, path, EDGE) for path in paths[:40]]
        )
    wall, cpu = (min(one[k] for one in mine) / count for k in (0, 1))
    their_wall, their_cpu = (min(one[k] for one in other) / count for k in (0, 1))
    print(f"{count} pictures of 12 MP, {EDGE} px, best of {_ROUNDS}")
    print(f"ours, two threads            {1e3 * wall:7.1f} ms a picture, {1e3 * cpu:6.1f} ms processor time")
    print(f"ours, one thread             {1e3 * one_thread[0] / 40:7.1f} ms a picture")
    print(
        f"vipsthumbnail, two processes {1e3 * their_wall:7.1f} ms a picture, "
        f"{1e3 * their_cpu:6.1f} ms processor time"
    )
    print(f"ratio, wall                  {their_wall / wall:7.2f}   (aim: at least 1.5)")
    print(f"ratio, processor time        {their_cpu / cpu:7.2f}")


if __name__ == "__main__":
    main(*(int(one) for one in sys.argv[1:2]))
