"""The composition root: builds everything once and opens the window."""

from __future__ import annotations

import json
import shutil
import sys
import uuid
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from catalog_gui import assets, logbook, settings
from catalog_gui.domain.problem import Problem
from catalog_gui.platform_check import what_is_missing
from catalog_gui.workflows.demo_evening import apply_evening
from catalog_gui.workflows.ports import Surroundings
from catalog_gui.workflows.prepared_references import PreparedReferences

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from catalog_gui.catalogue.lexicon import Lexicon
    from catalog_gui.lookalikes.reference import Reference
    from catalog_gui.views.main_window import MainWindow

DEMO_TITLE = "demo foray, invented"
OWN_PACK = "own-taxa"
DEMO_EVENING = datetime(2025, 10, 18, 20, 15, tzinfo=UTC)
"""The demo is lived on the evening of its own day, so that what cannot wait is still waiting."""


def open_window(
    *,
    folder: str | None = None,
    demo: bool = False,
    reset_demo: bool = False,
    theme: str | None = None,
) -> int:
    """Open the catalogue (or a copy of the demo) in the window; returns the exit code."""
    missing = what_is_missing()
    if missing:
        print(f"foray-bench: {missing}", file=sys.stderr)
        return 2
    try:
        from PySide6.QtWidgets import QApplication  # noqa: PLC0415 - after the check, or Qt would abort
    except ImportError as error:
        print(f"foray-bench: Qt could not be loaded: {error}", file=sys.stderr)
        return 2
    application = QApplication.instance() or QApplication([sys.argv[0]])
    assert isinstance(application, QApplication)  # noqa: S101 - for the type checker
    window = build_window(
        application, folder=folder, demo=demo or reset_demo, reset_demo=reset_demo, theme=theme, log=True
    )
    logbook.watch(window.bench.fail)
    window.show()
    return application.exec()


def build_window(
    application: QApplication,
    *,
    folder: str | None = None,
    demo: bool = False,
    reset_demo: bool = False,
    theme: str | None = None,
    preferences_file: Path | None = None,
    log: bool = False,
) -> MainWindow:
    """Wire everything, show nothing yet; with `log` what goes wrong is logged beside the catalogue.

    Raises Problem when the catalogue cannot be opened.
    """
    from catalog_gui.catalogue.store import open_catalogue  # noqa: PLC0415
    from catalog_gui.catalogue.upkeep import CatalogueUpkeep  # noqa: PLC0415
    from catalog_gui.jobs.housekeeping import Housekeeping, prepare  # noqa: PLC0415

    prepare()
    from catalog_gui.outputs.carry_out import MarkFiles  # noqa: PLC0415
    from catalog_gui.outputs.papers import PaperMaker  # noqa: PLC0415
    from catalog_gui.packs.kept_calibrations import KeptCalibrations  # noqa: PLC0415
    from catalog_gui.packs.own import OwnPackFolder  # noqa: PLC0415
    from catalog_gui.packs.reader import read_packs  # noqa: PLC0415
    from catalog_gui.photos.cached_pictures import CachedPictures  # noqa: PLC0415
    from catalog_gui.photos.files import DiskPictures  # noqa: PLC0415
    from catalog_gui.views import pages  # noqa: PLC0415
    from catalog_gui.views import theme as look  # noqa: PLC0415
    from catalog_gui.views.bench import Bench  # noqa: PLC0415
    from catalog_gui.views.main_window import MainWindow  # noqa: PLC0415
    from catalog_gui.views.widgets.pictures import PictureSource  # noqa: PLC0415

    application.setApplicationName("Foray Bench")
    application.setDesktopFileName("foray-bench")
    preferences, trouble = settings.load(preferences_file)
    if theme is not None:
        preferences = replace(preferences, theme=settings.Theme(theme))
    look.load_fonts(assets.fonts())
    look.apply(application, preferences.theme)
    place, pictures_folder, clock = _choose(folder, demo=demo, reset_demo=reset_demo, preferences=preferences)
    shipped = assets.reference_pack()
    own = OwnPackFolder(shipped, _own_pack_folder(preferences, place, demo=demo))
    try:
        reference = own.read()
    except Problem as problem:
        trouble = f"{trouble} Your own reference pack is left out. {problem}".strip()
        reference = read_packs(shipped)
    catalogue = open_catalogue(place, now=clock, lexicon=_lexicon(reference))
    log_path = logbook.keep(place) if log else None
    pictures = CachedPictures(catalogue.previews)
    source = PictureSource(pictures)
    bench = Bench(
        catalogue.another,
        files=DiskPictures(),
        pictures=source,
        reference=reference,
        preferences=preferences,
        surroundings=Surroundings(clock, lambda: uuid.uuid4().hex, pictures.looks),
        prepare=PreparedReferences(KeptCalibrations(settings.calibrations_folder())),
        keep_preferences=lambda changed: settings.save(changed, preferences_file),
        papers=PaperMaker(catalogue.papers),
        marks_out=MarkFiles(),
        own_pack=own,
        open_pack=lambda chosen: OwnPackFolder(shipped, Path(chosen)),
        place=str(place),
        log_path=str(log_path or ""),
        read_log=lambda: logbook.newest(place),
        upkeep=CatalogueUpkeep(
            catalogue, lambda: OwnPackFolder(shipped, (bench.own_pack or own).folder).files()
        ),
        close_records=catalogue.close,
    )
    bench.reference_changed.connect(lambda changed: catalogue.set_lexicon(_lexicon(changed)))
    window = MainWindow(bench, pages.ALL, title=DEMO_TITLE if demo else "")
    if trouble:
        bench.trouble.emit(trouble)
    Housekeeping(window)
    if pictures_folder is not None:
        evening = json.loads(assets.demo_evening().read_text(encoding="utf-8"))
        blind = replace(bench.surroundings, likeness=None)  # the same evening whatever was decoded by then
        window.go_on(pictures_folder, lambda work, foray_id: apply_evening(work, foray_id, evening, blind))
    else:
        window.go_on()
    return window


def _own_pack_folder(preferences: settings.Preferences, place: Path, *, demo: bool) -> Path:
    """Find the folder of the user's own taxa: as chosen, as restored with the catalogue, else beside other things.

    The demo has its own.
    """
    if preferences.own_pack:
        return Path(preferences.own_pack)
    if (place / OWN_PACK).is_dir():
        return place / OWN_PACK
    return place.parent / OWN_PACK if demo else settings.data_folder() / OWN_PACK


def _lexicon(reference: Reference) -> Lexicon:
    """Collect what parts, states and taxa are called, so that a search understands the user's words."""
    from catalog_gui.catalogue.lexicon import Lexicon  # noqa: PLC0415

    names = {
        taxon.id: tuple(
            name
            for name in (taxon.name, taxon.english, *(one.name for one in reference.synonyms_of(taxon.id)))
            if name
        )
        for taxon in reference.taxa
    }
    hazards = {
        taxon: severity.value
        for taxon in reference.dangerous
        if (severity := reference.severity_of(taxon)) is not None
    }
    return Lexicon(reference.vocabulary, names, hazards)


def _choose(
    folder: str | None, *, demo: bool, reset_demo: bool, preferences: settings.Preferences
) -> tuple[Path, Path | None, Callable[[], datetime]]:
    """Where the catalogue stands, which pictures to take in when it is empty, and the clock to live by."""
    if not demo:
        chosen = folder or preferences.catalogue_folder
        return (Path(chosen) if chosen else settings.default_catalogue_folder()), None, _now
    home = Path(folder) if folder else settings.data_folder() / "demo"
    if reset_demo:
        shutil.rmtree(home, ignore_errors=True)
    return home / "catalogue", copy_of_demo(home / "pictures"), _evening_clock()


def copy_of_demo(target: Path) -> Path:
    """Copy the demo's pictures to `target`, once, whole or not at all; returns it."""
    if not target.exists():
        target.parent.mkdir(parents=True, exist_ok=True)
        draft = target.with_name(target.name + ".new")
        shutil.rmtree(draft, ignore_errors=True)
        shutil.copytree(assets.demo_foray(), draft)
        draft.rename(target)
    return target


def _now() -> datetime:
    return datetime.now(UTC)


def _evening_clock() -> Callable[[], datetime]:
    opened = _now()
    return lambda: DEMO_EVENING + (_now() - opened)
