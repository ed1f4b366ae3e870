"""A child process for the kill test: the real window takes in a folder, then edits without end.

Prints one line for everything that the program has acknowledged: 'taken N', 'accepted ID', 'evidence ID',
'mark ID', 'undone LABEL'.
"""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.app import build_window
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.ledger import Changed
from catalog_gui.workflows import sorting
from catalog_gui.workflows.import_photos import IntakeReport


def say(words: str) -> None:
    """Tell the parent, at once."""
    print(words, flush=True)


def main(catalogue: str, pictures: str) -> None:
    """Run until somebody kills it."""
    application = QApplication([])
    window = build_window(
        application, folder=catalogue, preferences_file=Path(catalogue).with_name("preferences.json")
    )
    window.show()
    bench = window.bench
    bench.trouble.connect(lambda words: say(f"trouble {words}"))
    count = 0

    def said(words: str, specimen_id: str, photo_id: str) -> None:
        say(words)
        edit(specimen_id, photo_id)

    def edit(specimen_id: str, photo_id: str) -> None:
        nonlocal count
        count += 1
        number = count
        if number % 5 == 0:
            heard = bench.changed.connect(lambda change: undone(change))  # noqa: PLW0108 - defined below

            def undone(change: Changed) -> None:
                bench.changed.disconnect(heard)
                say(f"undone {change.label}")
                edit(specimen_id, photo_id)

            bench.undo()
        elif number % 2:
            one = Evidence(
                f"e{number}",
                specimen_id,
                "cap.width",
                Standing.SEEN,
                low=number,
                high=number,
                unit="mm",
                fruit_body=str(number),
            )
            bench.do(
                f"evidence e{number}",
                lambda work: work.evidence.put(one),
                lambda _: said(f"evidence e{number}", specimen_id, photo_id),
            )
        else:
            mark = Mark(f"m{number}", photo_id, MarkKind.LINE, ((1.0, 2.0), (3.0, float(number))))
            bench.do(
                f"mark m{number}",
                lambda work: work.marks.put(mark),
                lambda _: said(f"mark m{number}", specimen_id, photo_id),
            )

    def taken(report: IntakeReport) -> None:
        say(f"taken {len(report.taken)}")

        def accept(made: tuple[str, ...]) -> None:
            say(f"accepted {made[0]}")
            edit(made[0], report.taken[0].id)

        bench.do(
            "Accept",
            lambda work: sorting.accept(
                work, [work.groups.where(foray_id=report.foray_id)[0].id], bench.surroundings
            ),
            accept,
        )

    window.intake.finished.connect(taken)
    QTimer.singleShot(0, lambda: window.intake.start([pictures]))
    application.exec()


if __name__ == "__main__":
    main(*sys.argv[1:3])
