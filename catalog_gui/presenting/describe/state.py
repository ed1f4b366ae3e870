"""Holds what the Describe page shows, read from the records in one go and kept as values."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.checklist import Checklist, checklist
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.number_order import number_key
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Specimen, Task
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.determine import present, present_by_specimen
from catalog_gui.workflows.ports import UnitOfWork

NARROW = frozenset({"evidence", "marks", "tasks"})
"""Kinds whose changes concern one specimen only."""

RECENT = 60
"""How many of the states used last are kept near."""


@dataclass(frozen=True, slots=True)
class SpecimenLine:
    """One specimen of the list: what it is called, how much is written, what is overdue."""

    specimen: Specimen
    name: Determination | None
    noted: int
    wanted: int
    overdue: int
    cover: Photo | None


@dataclass(frozen=True, slots=True)
class DescribeState:
    """A specimen with all that belongs to it, and the list it stands in."""

    foray: Foray | None = None
    lines: tuple[SpecimenLine, ...] = ()
    specimen: Specimen | None = None
    evidence: tuple[Evidence, ...] = ()
    marks: tuple[Mark, ...] = ()
    photos: tuple[Photo, ...] = ()
    tasks: tuple[Task, ...] = ()
    names: tuple[Determination, ...] = ()
    recent: tuple[tuple[str, str], ...] = ()
    people: tuple[str, ...] = ()
    where: str = ""  # the place in the preferred grid

    @property
    def name(self) -> Determination | None:
        """The present determination."""
        return present(self.names)

    @property
    def zone(self) -> str:
        """The tz database name of the foray, or ''."""
        return self.foray.time_zone if self.foray is not None else ""

    @property
    def fruit_bodies(self) -> tuple[str, ...]:
        """Names of single fruit bodies that have evidence or a box of their own."""
        named = [row.fruit_body for row in self.evidence]
        named += [mark.label for mark in self.marks if mark.kind is MarkKind.BODY]
        return tuple(sorted({name for name in named if name}))

    def with_again(self, again: DescribeState) -> DescribeState:
        """This list with one specimen of it read again."""
        fresh = {line.specimen.id: line for line in again.lines}
        return replace(
            again,
            foray=self.foray,
            lines=tuple(fresh.get(line.specimen.id, line) for line in self.lines),
            recent=self.recent,
            people=self.people,
        )

    def of_body(self, fruit_body: str) -> dict[str, Evidence]:
        """The evidence of one fruit body ('' for the collection), by feature."""
        return {row.feature: row for row in self.evidence if row.fruit_body == fruit_body}


def read_state(
    work: UnitOfWork, foray_id: str, specimen_id: str, reference: Reference, now: datetime
) -> DescribeState:
    """Everything about one specimen and the list of its foray; the first of the foray when none is chosen."""
    specimen = work.specimens.get(specimen_id) if specimen_id else None
    if specimen is not None and specimen.foray_id:
        foray_id = specimen.foray_id
    foray = work.forays.get(foray_id) if foray_id else None
    specimens = work.specimens.where(foray_id=foray_id) if foray is not None else ()
    specimens = tuple(sorted(specimens, key=lambda one: number_key(one.number)))
    if specimen is None and specimens:
        specimen = specimens[0]
    if specimen is not None and specimen not in specimens:
        specimens = (*specimens, specimen)
    lines = _lines(work, specimens, reference, now)
    ids = tuple(one.id for one in specimens)
    evidence = work.evidence.where(specimen_id=ids) if ids else ()
    names = work.determinations.where(specimen_id=ids) if ids else ()
    people = _people(foray, specimens, evidence, names)
    if specimen is None:
        return DescribeState(foray, lines, people=people)
    return _specimen_state(work, specimen, foray, lines, _recent(evidence, specimen.id), people)


def read_again(work: UnitOfWork, specimen_id: str, reference: Reference, now: datetime) -> DescribeState:
    """Only what belongs to one specimen, its line in the list included; see `DescribeState.with_again`."""
    specimen = work.specimens.get(specimen_id)
    if specimen is None:
        return DescribeState()
    return _specimen_state(work, specimen, None, _lines(work, (specimen,), reference, now), (), ())


def is_about(work: UnitOfWork, changed: Changed, state: DescribeState) -> bool:
    """Whether a change touched nothing but entries, marks and tasks of the specimen shown."""
    specimen = state.specimen
    if specimen is None or any(ids and repository not in NARROW for repository, ids in changed.ids.items()):
        return False
    mine = {row.id for row in state.evidence} | {task.id for task in state.tasks}
    rows = [(key, work.evidence.get(key)) for key in changed.ids.get("evidence", ())]
    tasks = [(key, work.tasks.get(key)) for key in changed.ids.get("tasks", ())]
    return all(
        key in mine if value is None else value.specimen_id == specimen.id for key, value in (*rows, *tasks)
    )


def _specimen_state(
    work: UnitOfWork,
    specimen: Specimen,
    foray: Foray | None,
    lines: tuple[SpecimenLine, ...],
    recent: tuple[tuple[str, str], ...],
    people: tuple[str, ...],
) -> DescribeState:
    photos = photos_of(work, specimen.id)
    marks = work.marks.where(photo_id=tuple(photo.id for photo in photos)) if photos else ()
    return DescribeState(
        foray,
        lines,
        specimen,
        work.evidence.where(specimen_id=specimen.id),
        tuple(mark for mark in marks if mark.specimen_id in {"", specimen.id}),
        photos,
        work.tasks.where(specimen_id=specimen.id),
        work.determinations.where(specimen_id=specimen.id),
        recent,
        people,
    )


def photos_of(work: UnitOfWork, specimen_id: str) -> tuple[Photo, ...]:
    """The pictures of a specimen: those of all its groups, in the order of the groups."""
    ids = tuple(photo_id for group in work.groups.where(specimen_id=specimen_id) for photo_id in group.photos)
    found = {photo.id: photo for photo in work.photos.where(id=ids)} if ids else {}
    return tuple(found[photo_id] for photo_id in ids if photo_id in found)


def list_of(state: DescribeState, reference: Reference, fruit_body: str = "") -> Checklist:
    """The checklist of the specimen shown; evidence of the collection counts for each fruit body of it."""
    rows = {**state.of_body(""), **state.of_body(fruit_body)}
    return checklist(
        reference.vocabulary,
        tuple(rows.values()),
        specimen=state.specimen,
        name=state.name.name if state.name is not None else "",
        tasks=state.tasks,
        needs=reference.ties.needs,
        kin=reference.ties.kin,
    )


def _lines(
    work: UnitOfWork, specimens: tuple[Specimen, ...], reference: Reference, now: datetime
) -> tuple[SpecimenLine, ...]:
    ids = tuple(one.id for one in specimens)
    evidence = work.evidence.where(specimen_id=ids) if ids else ()
    tasks = work.tasks.where(specimen_id=ids) if ids else ()
    names = work.determinations.where(specimen_id=ids) if ids else ()
    rows: dict[str, list[Evidence]] = {}
    for row in evidence:
        rows.setdefault(row.specimen_id, []).append(row)
    overdue: dict[str, int] = {}
    for task in tasks:
        if task.overdue(now):
            overdue[task.specimen_id] = overdue.get(task.specimen_id, 0) + 1
    now_named = present_by_specimen(names)
    covers = {
        photo.id: photo
        for photo in work.photos.where(id=tuple({s.cover_photo for s in specimens if s.cover_photo}))
    }
    lines = []
    for specimen in specimens:
        mine = rows.get(specimen.id, [])
        name = now_named.get(specimen.id)
        asked = checklist(
            reference.vocabulary,
            mine,
            specimen=specimen,
            name=name.name if name is not None else "",
            needs=reference.ties.needs,
        )
        noted, wanted = asked.progress(
            row.feature for row in mine if row.standing is not Standing.NOT_LOOKED_AT
        )
        lines.append(
            SpecimenLine(
                specimen,
                name,
                noted,
                wanted,
                overdue.get(specimen.id, 0),
                covers.get(specimen.cover_photo),
            )
        )
    return tuple(lines)


def _recent(evidence: tuple[Evidence, ...], specimen_id: str) -> tuple[tuple[str, str], ...]:
    """States used last on the other specimens of the foray and this one, newest first."""
    rows = sorted(
        (row for row in evidence if row.states and row.noted_at is not None),
        key=lambda row: row.noted_at.timestamp() if row.noted_at is not None else 0.0,
        reverse=True,
    )
    used = [(row.feature, state) for row in rows if row.specimen_id != specimen_id for state in row.states]
    return tuple(dict.fromkeys(used))[:RECENT]


def _people(
    foray: Foray | None,
    specimens: tuple[Specimen, ...],
    evidence: tuple[Evidence, ...],
    names: tuple[Determination, ...],
) -> tuple[str, ...]:
    """Everybody named so far, to be offered where a name is asked for."""
    said = [*(foray.people if foray is not None else ())]
    said += [specimen.collector for specimen in specimens]
    said += [row.noted_by for row in evidence] + [one.determined_by for one in names]
    return tuple(sorted({name for name in said if name}))
