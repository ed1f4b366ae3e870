"""Corrects the trail: joins, cuts, moves, the tray, and groups that become specimens."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QMenu

from catalog_gui.presenting.sort.questions import TrailQuestion, question_above, question_inside
from catalog_gui.presenting.words import counted
from catalog_gui.views.bench import Bench
from catalog_gui.views.sort.trail import TrailView
from catalog_gui.views.sort.tray import TrayView
from catalog_gui.workflows import sorting
from catalog_gui.workflows.foray_memory import ForayMemory


class Corrections(QObject):
    """One method for each thing that can be done with the groups; every one is one undoable change.

    `go_to` is the picture to choose when the trail shows what came of it.
    """

    hands_changed = Signal()  # what can be done next is different, though no record changed

    def __init__(
        self, bench: Bench, memory: ForayMemory, trail: TrailView, tray: TrayView, parent: QObject
    ) -> None:
        super().__init__(parent)
        self.bench, self.trail, self.tray = bench, trail, tray
        self._memory = memory
        self.go_to = ""

    def asked(self) -> TrailQuestion | None:
        """The open question at the current picture: inside its group, or above the group it begins."""
        row = self.trail.current_row
        if row is None:
            return None
        if row.photos[0].id == self.trail.current:
            return question_above(row)
        return question_inside(row, self.trail.current)

    def next_doubtful(self) -> None:
        """Go to what is least certain; the next time to the one after it. Offers come after the joins."""
        wanted = self.trail.state.to_settle
        if not wanted:
            self.bench.said.emit("Nothing is doubtful.")
            return
        at = wanted.index(self.trail.current) + 1 if self.trail.current in wanted else 0
        self.trail.choose(wanted[at % len(wanted)])
        self.trail.ensure_visible(self.trail.current, whole_row=True)
        self.trail.setFocus()
        asked = self.asked()
        if asked is not None:
            self.bench.said.emit(f"{asked.question} {asked.reason.rstrip('.')}. T together, A apart.")

    def answer(self, together: bool) -> None:
        asked = self.asked()
        if asked is None:
            self.bench.said.emit("Nothing is asked at this picture.")
            return
        rest = [key for key in self.trail.state.to_settle if key != self.trail.current]
        self.go_to = rest[0] if rest else self.trail.current
        self.give_answer(asked.kind, asked.key, together)

    def give_answer(self, kind: str, key: str, together: bool) -> None:
        surroundings, prefix = self.bench.surroundings, self.bench.preferences.number_prefix
        memory = self._memory
        if kind == "join":
            words = "Set together" if together else "Set apart"
            self.bench.do(
                words, lambda work: sorting.settle_join(work, key, together, surroundings, memory=memory)
            )
        else:
            words = "Same specimen" if together else "Not the same specimen"
            self.bench.do(
                words, lambda work: sorting.answer_same_as(work, key, together, surroundings, prefix=prefix)
            )

    def cut(self) -> None:
        photo_id = self.trail.current
        surroundings, memory = self.bench.surroundings, self._memory
        if photo_id:
            self.bench.do(
                "Cut a group in two",
                lambda work: sorting.split_before(work, photo_id, surroundings, memory=memory),
            )

    def join(self) -> None:
        index = self.trail.state.row_of(self.trail.current)
        chosen = self.trail.selected_groups()
        if len(chosen) < 2:
            if index < 1:
                self.bench.said.emit("There is no group above this one.")
                return
            chosen = [self.trail.state.rows[index - 1].group.id, self.trail.state.rows[index].group.id]
        surroundings, memory = self.bench.surroundings, self._memory
        self.bench.do(
            "Join groups", lambda work: sorting.join_groups(work, chosen, surroundings, memory=memory)
        )

    def lift_out(self) -> None:
        self._move(self.trail.selected(), "", "Lift pictures out")

    def pick_up(self) -> None:
        chosen = self.trail.selected()
        self.trail.pick_up(chosen)
        self.hands_changed.emit()
        count = counted(len(chosen), "picture")
        self.bench.said.emit(f"{count} picked up. Go to another group and press V; Escape lets them lie.")

    def put_down(self) -> None:
        row = self.trail.current_row
        if row is not None:
            self._move(self.trail.lifted, row.group.id, "Move pictures")
            self.trail.pick_up([])

    def shove(self, by: int) -> None:
        index = self.trail.state.row_of(self.trail.current) + by
        if 0 <= index < len(self.trail.state.rows):
            self._move(self.trail.selected(), self.trail.state.rows[index].group.id, "Move pictures")

    def _move(self, chosen: list[str], group_id: str, words: str) -> None:
        if not chosen:
            self.bench.said.emit("Choose the pictures to move first.")
            return
        self.go_to = chosen[0]
        surroundings, memory = self.bench.surroundings, self._memory
        self.bench.do(
            words, lambda work: sorting.move_photos(work, chosen, group_id, surroundings, memory=memory)
        )

    def lay_chosen_aside(self) -> None:
        self.lay_aside(self.trail.selected())

    def lay_aside(self, chosen: list[str]) -> None:
        if not chosen:
            return
        following = self.trail.state.following(set(chosen))
        self.go_to = following
        surroundings, memory = self.bench.surroundings, self._memory
        self.bench.do(
            "Lay pictures in the tray",
            lambda work: sorting.set_aside(work, chosen, surroundings, memory=memory),
        )

    def bring_back(self) -> None:
        chosen = self.tray.selected()
        if not chosen:
            self.bench.said.emit("Choose pictures in the tray first.")
            return
        self.go_to = chosen[0]
        surroundings, memory = self.bench.surroundings, self._memory
        self.bench.do(
            "Bring pictures back", lambda work: sorting.bring_back(work, chosen, surroundings, memory=memory)
        )

    def drop(self, ids: list[str], group_id: str) -> None:
        self._move(ids, group_id, "Move pictures")

    def accept(self) -> None:
        chosen = [
            group
            for group in self.trail.selected_groups()
            if any(row.group.id == group and row.specimen is None for row in self.trail.state.rows)
        ]
        self._accept_groups(chosen, "Every chosen group is a specimen already.")

    def accept_all(self) -> None:
        state = self.trail.state
        left = state.proposed - len(state.certain)
        self._accept_groups(list(state.certain), "No certain group is left to keep as a specimen.")
        if left:
            self.bench.said.emit(f"{counted(left, 'doubtful group')} left for you to settle.")

    def _accept_groups(self, groups: list[str], nothing: str) -> None:
        if not groups:
            self.bench.said.emit(nothing)
            return
        bench = self.bench
        words = f"Keep {counted(len(groups), 'specimen')}"

        def accepted(made: object) -> None:
            if isinstance(made, tuple) and made:
                bench.choose_specimen(str(made[0]))

        self.bench.do(
            words,
            lambda work: sorting.accept(
                work,
                groups,
                bench.surroundings,
                prefix=bench.preferences.number_prefix,
                collector=bench.preferences.person,
            ),
            accepted,
        )

    def describe(self) -> None:
        row = self.trail.current_row
        if row is None or row.specimen is None:
            self.bench.said.emit("Keep the group as a specimen first; then it can be described.")
            return
        self.bench.choose_specimen(row.specimen.id)
        self.bench.page_wanted.emit("describe")

    def same_menu(self) -> None:
        row = self.trail.current_row
        if row is None:
            return
        menu = QMenu(self.trail)
        if row.offer is not None:
            for together, word in ((True, "Yes, the same as"), (False, "No, not")):
                answer = menu.addAction(f"{word} {row.offer_words}   ({row.offer.reason})")
                answer.triggered.connect(partial(self.give_answer, "offer", row.offer.id, together))
            menu.addSeparator()
        group_id = row.group.id
        seen: set[str] = set()
        for other in self.trail.state.rows:
            if other.specimen is None or other.group.id == group_id or other.specimen.id in seen:
                continue
            seen.add(other.specimen.id)
            key = other.specimen.id
            action = menu.addAction(f"{other.specimen.number}   {other.name}")
            action.triggered.connect(
                lambda _=False, key=key: self.bench.do(
                    "Same specimen", lambda work: sorting.same_specimen(work, group_id, key)
                )
            )
        if menu.isEmpty():
            menu.addAction("No specimen is kept yet.").setEnabled(False)
        at = self.trail.rect_of(self.trail.current)
        menu.setObjectName("same-menu")
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(self.trail.viewport().mapToGlobal(at.bottomLeft()))
