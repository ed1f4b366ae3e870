"""Work in another process: every item arrives, every ending is told, nothing is left running."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from catalog_gui.domain.photo import Raster
from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.jobs.subprocess_job import ProcessEnded, run_in_subprocess


def add_up(items: Iterator[int], progress: Callable[[int], None], cancelled: Callable[[], bool]) -> int:
    total = 0
    for count, item in enumerate(items, 1):
        total += item
        progress(count)
    return total


def sizes(
    items: Iterator[Raster], progress: Callable[[int], None], cancelled: Callable[[], bool]
) -> list[object]:
    return [(one.width, one.scale, type(one.rgb), sum(one.rgb)) for one in items]


def refuse(items: Iterator[int], progress: Callable[[int], None], cancelled: Callable[[], bool]) -> int:
    raise BadInput("The disk is full.", path="/there/a.pdf")


def die(items: Iterator[int], progress: Callable[[int], None], cancelled: Callable[[], bool]) -> int:
    next(items)
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


def until_stopped(
    items: Iterator[int], progress: Callable[[int], None], cancelled: Callable[[], bool], *, mark: str
) -> int:
    """Leaves a file while it runs, takes it away when it is stopped."""
    Path(mark).write_text("working")
    try:
        next(items)
        progress(1)
        while not cancelled():
            time.sleep(0.01)
        raise Cancelled
    finally:
        Path(mark).unlink()


def test_every_item_arrives_in_order_and_progress_is_told() -> None:
    heard: list[int] = []
    assert run_in_subprocess(add_up, iter(range(50)), progress=heard.append) == sum(range(50))
    assert heard == list(range(1, 51))
    assert run_in_subprocess(add_up, ()) == 0
    assert not multiprocessing.active_children()


def test_pixels_travel_beside_the_pickle() -> None:
    raster = Raster(2000, 1000, bytes([7]) * 6_000_000, 0.5)
    assert len(pickle.dumps(raster, 5, buffer_callback=lambda _: False)) < 500
    assert pickle.loads(pickle.dumps(raster)) == raster  # noqa: S301 - our own bytes
    assert run_in_subprocess(sizes, [raster, raster]) == [(2000, 0.5, bytes, 42_000_000)] * 2


def test_what_the_work_raises_is_raised_here() -> None:
    with pytest.raises(BadInput) as caught:
        run_in_subprocess(refuse, [1])
    assert (caught.value.reason, caught.value.path) == ("The disk is full.", "/there/a.pdf")


def test_an_item_that_cannot_be_made_ends_the_work(tmp_path: Path) -> None:
    def items() -> Iterator[int]:
        yield 1
        raise BadInput("The picture has gone.")

    with pytest.raises(BadInput, match="gone"):
        run_in_subprocess(add_up, items())
    assert not multiprocessing.active_children()


def test_a_process_that_dies_is_told() -> None:
    with pytest.raises(ProcessEnded):
        run_in_subprocess(die, [1, 2, 3])


def test_a_cancel_is_heard_while_it_works_and_it_tidies_up(tmp_path: Path) -> None:
    mark = tmp_path / "mark"
    started: list[int] = []
    with pytest.raises(Cancelled):
        run_in_subprocess(
            partial(until_stopped, mark=str(mark)),
            iter([1, 2]),
            progress=started.append,
            cancelled=lambda: bool(started),
        )
    assert started == [1]
    assert not mark.exists()
