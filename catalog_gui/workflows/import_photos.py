"""Taking pictures in: every file of a place is taken, known already, or refused with the reason."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from catalog_gui.domain.foray import Foray, Track
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Problem, Refusal
from catalog_gui.workflows.ports import PictureFiles, Records, Surroundings, UnitOfWork
from catalog_gui.workflows.regroup import propose_again

KNOWN_CHUNK = 500


@dataclass(frozen=True, slots=True)
class IntakeProgress:
    """Where a take-in stands. `phase`: 'looking', 'reading', 'sorting'. `total` is 0 while it is not known."""

    phase: str
    done: int
    total: int


@dataclass(frozen=True, slots=True)
class Known:
    """A file that the catalogue has already; `first` is where it was first seen, `moved` if that is gone."""

    path: str
    first: str
    moved: bool = False


@dataclass(frozen=True, slots=True)
class IntakeReport:
    """The account of one take-in. Every file found is in exactly one of the tuples."""

    foray_id: str
    taken: tuple[Photo, ...]
    known: tuple[Known, ...]
    refused: tuple[Refusal, ...]
    tracks: tuple[str, ...]
    not_reached: tuple[str, ...]

    @property
    def files(self) -> int:
        """How many files were found."""
        return sum(map(len, (self.taken, self.known, self.refused, self.tracks, self.not_reached)))


def take_in(
    records: Records,
    files: PictureFiles,
    places: Sequence[str],
    surroundings: Surroundings,
    *,
    foray_id: str = "",
    title: str = "",
    time_zone: str = "",
    progress: Callable[[IntakeProgress], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> IntakeReport:
    """Read the pictures at `places` and write them, with a first proposal, as one undoable step.

    With `foray_id` they join that foray and leave undisturbed what was done there. Originals are only
    read. When cancelled, what was read so far is taken in and the rest is reported as not reached.
    """
    paths: list[str] = []
    refused: list[Refusal] = []
    tracks: list[str] = []
    for found in files.find(places):
        if isinstance(found, Refusal):
            refused.append(found)
        elif found.casefold().endswith(".gpx"):
            tracks.append(found)
        else:
            paths.append(found)
        if (len(paths) & 63) == 0:
            progress(IntakeProgress("looking", len(paths), 0))
        if cancelled():
            break
    fresh: list[Photo] = []
    reached = 0
    for path, outcome in files.read_many(
        paths, progress=lambda n: progress(IntakeProgress("reading", n, len(paths))), cancelled=cancelled
    ):
        reached += 1
        if isinstance(outcome, Refusal):
            refused.append(outcome)
        else:
            fresh.append(replace(outcome, path=path))
    walks = _read_tracks(files, tracks, refused)
    progress(IntakeProgress("sorting", len(fresh), len(paths)))
    with records.read() as work:
        known_before = _known(work, fresh)
    taken, known, moved = _sort_known(fresh, known_before, files)
    new_foray = foray_id or surroundings.new_id()
    taken = [replace(photo, id=surroundings.new_id(), foray_id=new_foray) for photo in taken]
    if taken or moved or walks:
        label = f"Take in {len(taken)} picture{'' if len(taken) == 1 else 's'}"
        with records.step(label) as work:
            _write(work, new_foray, title, time_zone, places, taken, moved, walks, surroundings)
    return IntakeReport(
        new_foray if taken or foray_id else "",
        tuple(taken),
        tuple(known),
        tuple(refused),
        tuple(path for path, _ in walks),
        tuple(paths[reached:]),
    )


def _read_tracks(
    files: PictureFiles, paths: Sequence[str], refused: list[Refusal]
) -> list[tuple[str, tuple[Track, ...]]]:
    walks: list[tuple[str, tuple[Track, ...]]] = []
    for path in paths:
        try:
            walks.append((path, files.tracks(path)))
        except Problem as problem:
            refused.append(Refusal(path, problem.reason))
    return walks


def _known(work: UnitOfWork, fresh: Sequence[Photo]) -> dict[str, Photo]:
    known: dict[str, Photo] = {}
    if not work.photos.count():
        return known
    keys = sorted({photo.quick_key for photo in fresh if photo.quick_key})
    for start in range(0, len(keys), KNOWN_CHUNK):
        for photo in work.photos.where(quick_key=tuple(keys[start : start + KNOWN_CHUNK])):
            known.setdefault(photo.quick_key, photo)
    return known


def _sort_known(
    fresh: Sequence[Photo], known_before: dict[str, Photo], files: PictureFiles
) -> tuple[list[Photo], list[Known], list[Photo]]:
    taken: list[Photo] = []
    known: list[Known] = []
    moved: list[Photo] = []
    first_of: dict[str, Photo] = {}
    for photo in fresh:
        before = known_before.get(photo.quick_key) or first_of.get(photo.quick_key)
        if not photo.quick_key or before is None or not _same_content(photo, before, files):
            taken.append(photo)
            first_of.setdefault(photo.quick_key, photo)
            continue
        gone = before.path != photo.path and not files.exists(before.path)
        known.append(Known(photo.path, before.path, gone))
        if gone and before.id:
            moved.append(replace(before, path=photo.path))
            known_before[photo.quick_key] = moved[-1]
    return taken, known, moved


def _same_content(photo: Photo, before: Photo, files: PictureFiles) -> bool:
    """Whether two files with one quick key are one picture: the key samples, so the whole must agree.

    Where the older file is gone and was never read whole, the key has to do: losing the link to what was
    written about a picture would be worse.
    """
    if photo.path == before.path:
        return True
    try:
        old = before.content_hash or (files.content_hash(before.path) if files.exists(before.path) else "")
        return not old or files.content_hash(photo.path) == old
    except Problem:
        return False


def _write(
    work: UnitOfWork,
    foray_id: str,
    title: str,
    time_zone: str,
    places: Sequence[str],
    taken: Sequence[Photo],
    moved: Sequence[Photo],
    walks: Sequence[tuple[str, tuple[Track, ...]]],
    surroundings: Surroundings,
) -> None:
    foray = work.forays.get(foray_id)
    if foray is None and taken:
        work.forays.put(
            Foray(
                foray_id,
                title or default_title(taken, surroundings.now()),
                time_zone=time_zone or zone_of_offsets(taken),
                folders=tuple(places),
            )
        )
    elif foray is not None:
        work.forays.put(replace(foray, folders=tuple(dict.fromkeys((*foray.folders, *places)))))
    work.photos.put(*moved)
    if work.forays.get(foray_id) is not None:
        for _, pieces in walks:
            work.tracks.put(
                *(replace(t, id=surroundings.new_id(), foray_id=foray_id) for t in pieces if t.times)
            )
        propose_again(work, foray_id, surroundings, fresh=taken)


def default_title(photos: Sequence[Photo], now: datetime) -> str:
    """'Foray of 12 October 2025', from the day on which most of the pictures were written."""
    days: dict[tuple[int, int, int], int] = {}
    for photo in photos:
        if photo.written.local is not None:
            local = photo.written.local
            days[local.year, local.month, local.day] = days.get((local.year, local.month, local.day), 0) + 1
    if not days:
        return f"Foray taken in on {now.day} {now:%B %Y}"
    year, month, day = max(days, key=lambda key: (days[key], key))
    first = datetime(year, month, day, tzinfo=UTC)
    return f"Foray of {day} {first:%B %Y}"


def zone_of_offsets(photos: Sequence[Photo]) -> str:
    """The tz database name of the UTC offset that most cameras wrote: 'Etc/GMT-1' is one hour east.

    Only whole hours have such a name; '' where nothing was written.
    """
    hours: dict[int, int] = {}
    for photo in photos:
        offset = photo.written.offset
        if offset is not None and offset.total_seconds() % 3600 == 0:
            hour = int(offset.total_seconds() // 3600)
            hours[hour] = hours.get(hour, 0) + 1
    if not hours:
        return ""
    hour = max(hours, key=lambda key: (hours[key], -abs(key)))
    return "Etc/GMT" + (f"{-hour:+d}" if hour else "")


def fill_content_hashes(
    records: Records,
    files: PictureFiles,
    *,
    progress: Callable[[IntakeProgress], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
    batch: int = 50,
) -> tuple[Refusal, ...]:
    """Hash whole files in the background, a batch a step; these steps are not on the undo list.

    Returns the files that could not be read (a card pulled out, say); they are tried again next time.
    """
    with records.read() as work:
        waiting = work.photos.where(content_hash="")
    trouble: list[Refusal] = []
    for start in range(0, len(waiting), batch):
        hashes: dict[str, str] = {}
        for photo in waiting[start : start + batch]:
            if cancelled():
                break
            try:
                hashes[photo.id] = files.content_hash(photo.path)
            except Problem as problem:
                trouble.append(Refusal(photo.path, problem.reason))
        if hashes:
            with records.step("Fingerprint pictures", undoable=False) as work:
                present = work.photos.where(id=tuple(hashes))
                work.photos.put(*(replace(photo, content_hash=hashes[photo.id]) for photo in present))
        progress(IntakeProgress("hashing", min(start + batch, len(waiting)), len(waiting)))
        if cancelled():
            break
    return tuple(trouble)
