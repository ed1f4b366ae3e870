"""PDFs painted in another process: the same pages, and nothing left when the program is killed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from pypdf import PdfReader

from catalog_gui.domain.page import Paper, Text
from catalog_gui.domain.problem import BadInput
from catalog_gui.views.outputs.painter import write_pdf
from catalog_gui.views.outputs.press_room import write_pdf_in_subprocess

SLOW = """
import sys, time
from pathlib import Path
from catalog_gui.domain.page import Paper, Text
from catalog_gui.views.outputs.press_room import write_pdf_in_subprocess

def papers():
    for number in range(10_000):
        time.sleep(0.05)
        yield Paper("p", (Text(f"page {number}"),))

if __name__ == "__main__":
    write_pdf_in_subprocess(papers(), Path(sys.argv[1]) / "out.pdf", title="t", progress=lambda n: print(n, flush=True))
"""


def test_the_same_pages_as_in_this_process(fonts: object, tmp_path: Path) -> None:
    papers = [Paper("one", (Text("Amanita cf. virosa"),)), Paper("two", (Text("words " * 2000),))]
    heard: list[int] = []
    here = write_pdf(papers, tmp_path / "here.pdf", title="t")
    there = write_pdf_in_subprocess(papers, tmp_path / "there.pdf", title="t", progress=heard.append)
    assert here == there > 2
    assert heard == [1, 2]
    texts = [
        [page.extract_text() for page in PdfReader(tmp_path / name).pages]
        for name in ("here.pdf", "there.pdf")
    ]
    assert texts[0] == texts[1]
    with pytest.raises(BadInput, match="there already"):
        write_pdf_in_subprocess(papers, tmp_path / "there.pdf", title="t")


@pytest.mark.skipif(os.name != "posix", reason="kills by signal")
def test_a_killed_program_leaves_no_draft(tmp_path: Path) -> None:
    script = tmp_path / "slow.py"
    script.write_text(SLOW)
    folder = tmp_path / "out"
    folder.mkdir()
    process = subprocess.Popen(
        [sys.executable, str(script), str(folder)],
        stdout=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert process.stdout is not None
    assert process.stdout.readline() == b"1\n"  # a page is painted; on Linux its draft has no name yet
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdout.close()
    end = time.monotonic() + 30
    while list(folder.iterdir()) and time.monotonic() < end:
        time.sleep(0.05)
    assert not list(folder.iterdir())
