"""Does work that would hold the interpreter's lock in a process of its own: values go in, one value comes out.

Painting hundreds of pages is thousands of short calls that each keep the lock; beside it the window would
stutter whatever thread they run in. The work is a function that takes an iterator of values, a `progress` and
a `cancelled`, and that can be pickled (a function of a module, or a partial of one). The process is made
fresh, never forked: a fork of a program with threads and a window is not safe.
"""

from __future__ import annotations

import io
import multiprocessing
import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, TypeVar

from catalog_gui.domain.problem import Cancelled, Problem

T = TypeVar("T")
R = TypeVar("R")
Pipe = Any
"""One end of a pipe: a Connection, on Windows a PipeConnection; the two have no common type to name."""
Job = Callable[[Iterator[T], Callable[[int], None], Callable[[], bool]], R]

LOOK_S = 0.05
"""How often a cancel is looked for while the other process works."""
NICER = 10
"""By how much the other process stands back for the window (POSIX nice)."""
GRACE_S = 5.0
"""How long the other process may take to tidy up after a cancel before it is ended."""


class ProcessEnded(Problem):
    """The other process ended without an answer: killed, or out of memory."""


@dataclass(frozen=True, slots=True)
class _Progress:
    value: int


@dataclass(frozen=True, slots=True)
class _Done:
    value: object


@dataclass(frozen=True, slots=True)
class _Failed:
    error: Exception


_NEXT, _END = "next", "end"


def run_in_subprocess(
    work: Job[T, R],
    items: Iterable[T],
    *,
    progress: Callable[[int], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> R:
    """Run `work` over `items` in a process of its own and wait for its answer. Not for the GUI thread.

    Each item is made here while the one before it is worked on there; never more than two are held. What
    the work raises is raised here; Cancelled when stopped, ProcessEnded when the process died. When this
    process dies, the other sees the end of its input and tidies up.
    """
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe()
    listen, stop = context.Pipe(duplex=False)
    process = context.Process(
        target=_serve, args=(there, listen, work), name="foray-bench-apart", daemon=True
    )
    process.start()
    there.close()
    listen.close()
    try:
        answer: R = _talk(here, stop, iter(items), progress, cancelled)
    except EOFError as error:
        raise ProcessEnded("The part of the program that paints pages ended by itself.") from error
    else:
        return answer
    finally:
        here.close()
        stop.close()
        process.join(GRACE_S)
        if process.is_alive():
            process.terminate()
            process.join()
        process.close()


def _talk(
    here: Pipe,
    stop: Pipe,
    items: Iterator[T],
    progress: Callable[[int], None],
    cancelled: Callable[[], bool],
) -> Any:
    asked, stopping = False, False
    waiting: list[tuple[T]] = []  # at most one item, made before it is asked for
    ended = False
    while True:
        if cancelled() and not stopping:
            stopping = True
            stop.send_bytes(b"stop")
        if not waiting and not ended and not stopping:
            try:
                waiting.append((next(items),))
            except StopIteration:
                ended = True
        if asked and (waiting or ended or stopping):
            asked = False
            if waiting and not stopping:
                _send(here, waiting.pop()[0])
            else:
                here.send(_END)
            continue
        if not here.poll(LOOK_S):
            continue
        match here.recv():
            case _Progress(value):
                progress(value)
            case _Done(value):
                return value
            case _Failed(error):
                raise error
            case _:
                asked = True


def _serve(there: Pipe, listen: Pipe, work: Job[Any, object]) -> None:
    """What the other process does."""
    signal.signal(
        signal.SIGINT, signal.SIG_IGN
    )  # a Ctrl-C in the terminal is for the program, which then cancels
    if hasattr(os, "nice"):
        os.nice(NICER)
    stopped = False

    def cancelled() -> bool:
        nonlocal stopped
        try:
            stopped = stopped or listen.poll()
        except OSError:
            stopped = True
        return stopped

    def items() -> Iterator[Any]:
        while True:
            there.send(_NEXT)
            try:
                received = _receive(there)
            except (EOFError, OSError) as error:  # nobody is there any longer
                raise Cancelled from error
            if not received:
                if cancelled():
                    raise Cancelled
                return
            yield received[0]

    answer: _Done | _Failed
    try:
        answer = _Done(work(items(), lambda value: there.send(_Progress(value)), cancelled))
    except Exception as error:  # noqa: BLE001 - it is raised again where it is waited for
        answer = _Failed(error)
    try:
        there.send(answer)
    except (OSError, pickle.PicklingError, TypeError, AttributeError):
        sys.exit(1)


def _send(here: Pipe, value: object) -> None:
    """Pickle a value with its large buffers beside it: those are written without holding the lock."""
    buffers: list[pickle.PickleBuffer] = []
    packed = io.BytesIO()
    pickle.Pickler(packed, protocol=5, buffer_callback=buffers.append).dump(value)
    here.send(len(buffers))
    here.send_bytes(packed.getbuffer())
    for buffer in buffers:
        here.send_bytes(buffer.raw())


def _receive(there: Pipe) -> tuple[()] | tuple[object]:
    """The next value, or nothing at the end of them."""
    count = there.recv()
    if count == _END:
        return ()
    packed = there.recv_bytes()
    buffers = [there.recv_bytes() for _ in range(count)]
    return (pickle.loads(packed, buffers=buffers),)  # noqa: S301 - from ourselves
