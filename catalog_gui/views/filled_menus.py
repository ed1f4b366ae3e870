"""Fills the menus that are read from the records when they open: forays, and what was done."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QMenu

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import Step
from catalog_gui.presenting.words import clock_time, day
from catalog_gui.views.bench import Bench
from catalog_gui.workflows.history import all_steps

LISTED_STEPS = 20


def fill_forays(menu: QMenu, bench: Bench, choose: Callable[[str], object]) -> None:
    """List the forays, newest first; `choose` is given the id of one."""
    _looking(menu)

    def fill(forays: tuple[Foray, ...]) -> None:
        menu.clear()
        if not forays:
            menu.addAction("No foray yet").setEnabled(False)
        for foray in reversed(forays):
            action = menu.addAction(foray.title or "Foray without a title")
            action.triggered.connect(lambda _=False, key=foray.id: choose(key))

    bench.read(lambda work: work.forays.all(), fill)


def fill_steps(menu: QMenu, bench: Bench) -> None:
    """List the steps of the records and of the own pack, newest first."""
    _looking(menu)
    own, place = bench.own_pack, bench.place

    def fill(steps: tuple[Step, ...]) -> None:
        menu.clear()
        if not steps:
            menu.addAction("Nothing yet").setEnabled(False)
        preferences = bench.preferences
        zone = preferences.time_zone
        for step in steps:
            words = f"{step.label} (taken back)" if step.undone else step.label
            when = f"{day(step.at, preferences, zone)}, {clock_time(step.at, zone)}"
            menu.addAction(f"{when}   {words}").setEnabled(False)

    bench.ask(lambda records: all_steps(records, own, place, LISTED_STEPS), fill)


def _looking(menu: QMenu) -> None:
    menu.clear()
    menu.addAction("Looking …").setEnabled(False)
