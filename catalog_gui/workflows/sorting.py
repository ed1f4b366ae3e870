"""What the user does on the Sort page. Each function is one change; the caller wraps it in one step.

With a `memory` of the foray a correction reads and proposes only its neighbourhood.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from catalog_gui.domain.deadlines import fresh_tasks
from catalog_gui.domain.foray import NOT_A_SPECIMEN, Clock, Group, Join
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.specimen import Specimen
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.named_proposal import join_id
from catalog_gui.workflows.ports import Surroundings, UnitOfWork
from catalog_gui.workflows.regroup import propose_again


def split_before(
    work: UnitOfWork, photo_id: str, surroundings: Surroundings, *, memory: ForayMemory | None = None
) -> str:
    """Cut the group of this photo in two, the photo being the first of the second; returns the new group."""
    photo = _photo(work, photo_id)
    group = _group(work, photo.group_id)
    index = group.photos.index(photo_id)
    if index == 0:
        raise BadInput("This picture is the first of its group: there is nothing before it to cut off.")
    fresh = surroundings.new_id()
    work.groups.put(
        replace(group, photos=group.photos[:index], held=True),
        Group(fresh, group.foray_id, group.photos[index:], held=True),
    )
    _settle_between(work, group.foray_id, group.photos[index - 1], photo_id, together=False)
    work.photos.put(*(replace(p, group_id=fresh) for p in work.photos.where(id=group.photos[index:])))
    propose_again(work, group.foray_id, surroundings, memory=memory, around=group.photos)
    return fresh


def join_groups(
    work: UnitOfWork,
    group_ids: Sequence[str],
    surroundings: Surroundings,
    *,
    memory: ForayMemory | None = None,
) -> str:
    """Make one group of several; the earliest keeps its id, and a specimen, if one of them has it."""
    groups = sorted((_group(work, key) for key in dict.fromkeys(group_ids)), key=_start)
    if len(groups) < 2:
        raise BadInput("Choose at least two groups to join.")
    specimens = {group.specimen_id for group in groups if group.specimen_id}
    if len(specimens) > 1:
        raise BadInput("These groups are two specimens already. Take one of the acceptances back first.")
    first = groups[0]
    photos = tuple(key for group in groups for key in group.photos)
    ordered = _by_time(work, first.foray_id, photos)
    work.groups.remove(*(group.id for group in groups[1:]))
    work.groups.put(
        replace(first, photos=ordered, held=True, specimen_id=specimens.pop() if specimens else "")
    )
    for early, late in itertools.pairwise(groups):
        _settle_between(work, first.foray_id, early.photos[-1], late.photos[0], together=True)
    work.photos.put(*(replace(p, group_id=first.id, aside="") for p in work.photos.where(id=photos)))
    propose_again(work, first.foray_id, surroundings, memory=memory, around=photos)
    return first.id


def move_photos(
    work: UnitOfWork,
    photo_ids: Sequence[str],
    target_group: str,
    surroundings: Surroundings,
    *,
    memory: ForayMemory | None = None,
) -> str:
    """Put photos into a group, or into a new one of their own when `target_group` is ''."""
    photos = [_photo(work, key) for key in dict.fromkeys(photo_ids)]
    if not photos:
        raise BadInput("Choose the pictures to move first.")
    foray_id = photos[0].foray_id
    moving = {photo.id for photo in photos}
    target = _group(work, target_group) if target_group else Group(surroundings.new_id(), foray_id, ())
    left = _take_out(work, photos, keep=target.id)
    ordered = _by_time(work, foray_id, (*(key for key in target.photos if key not in moving), *moving))
    work.groups.put(replace(target, photos=ordered, held=True))
    work.photos.put(*(replace(photo, group_id=target.id, aside="") for photo in photos))
    propose_again(work, foray_id, surroundings, memory=memory, around=(*ordered, *left))
    return target.id


def set_aside(
    work: UnitOfWork,
    photo_ids: Sequence[str],
    surroundings: Surroundings,
    *,
    memory: ForayMemory | None = None,
) -> None:
    """These pictures show no specimen; they stay visible in the tray."""
    photos = [_photo(work, key) for key in dict.fromkeys(photo_ids)]
    if not photos:
        raise BadInput("Choose the pictures to set aside first.")
    around = _neighbours(work, photos)
    left = _take_out(work, photos, hold=False)
    work.photos.put(*(replace(photo, group_id="", aside=NOT_A_SPECIMEN) for photo in photos))
    around += [photo.id for photo in photos] + left
    propose_again(work, photos[0].foray_id, surroundings, memory=memory, around=around)


def bring_back(
    work: UnitOfWork,
    photo_ids: Sequence[str],
    surroundings: Surroundings,
    *,
    memory: ForayMemory | None = None,
) -> None:
    """Take pictures out of the tray and let the proposal place them again."""
    photos = [_photo(work, key) for key in dict.fromkeys(photo_ids)]
    if not photos:
        raise BadInput("Choose the pictures to bring back first.")
    work.photos.put(*(replace(photo, aside="") for photo in photos))
    around = [photo.id for photo in photos]
    propose_again(work, photos[0].foray_id, surroundings, memory=memory, around=around)


def settle_join(
    work: UnitOfWork,
    join_id: str,
    together: bool,
    surroundings: Surroundings,
    *,
    memory: ForayMemory | None = None,
) -> None:
    """Answer a doubtful join: both sides show one specimen, or not. The proposal agrees from now on."""
    join = work.joins.get(join_id)
    if join is None:
        raise BadInput("That join is not there any longer.")
    before, after = _photo(work, join.before), _photo(work, join.after)
    same = before.group_id == after.group_id
    work.joins.put(replace(join, settled=together))
    if together and not same and before.group_id and after.group_id:
        join_groups(work, (before.group_id, after.group_id), surroundings, memory=memory)
    elif not together and same:
        split_before(work, after.id, surroundings, memory=memory)
    else:
        propose_again(work, join.foray_id, surroundings, memory=memory, around=(join.before, join.after))


def set_clock(
    work: UnitOfWork,
    clock_id: str,
    offset_s: float,
    surroundings: Surroundings,
    *,
    basis: str = "set by hand",
    spread_s: float = 1.0,
    memory: ForayMemory | None = None,
) -> Clock:
    """Correct a camera's clock by hand: true UTC = written time + `offset_s`. Written times stay as they are."""
    clock = work.clocks.get(clock_id)
    if clock is None:
        raise BadInput("That camera has no clock in this foray.")
    mended = replace(clock, offset_s=offset_s, spread_s=spread_s, basis=basis, settled=True, by_hand=True)
    work.clocks.put(mended)
    propose_again(work, clock.foray_id, surroundings, memory=memory)
    return mended


def read_clock_face(
    work: UnitOfWork,
    photo_id: str,
    shown: time,
    surroundings: Surroundings,
    *,
    seconds: bool = True,
    memory: ForayMemory | None = None,
) -> Clock:
    """Set a camera's clock by its picture of a clock that shows the time of day `shown`, where the foray was.

    The day is the one that moves the camera least. Without `seconds` the clock stood anywhere in its
    minute: the middle is taken, with the spread of a uniform minute (60 s / sqrt 12).
    """
    photo = _photo(work, photo_id)
    clock = next(iter(work.clocks.where(foray_id=photo.foray_id, camera_key=_clock_key(photo, memory))), None)
    foray = work.forays.get(photo.foray_id)
    if photo.written.local is None or clock is None or foray is None:
        raise BadInput("That picture carries no time, so it cannot set a clock.")
    written = photo.written.local.replace(tzinfo=UTC)
    concluded = written + timedelta(seconds=clock.offset_s)
    if not seconds:
        shown = shown.replace(second=30)
    here = concluded.astimezone(ZoneInfo(foray.time_zone) if foray.time_zone else None)
    days = (here.date() + timedelta(days=step) for step in (-1, 0, 1))
    moments = [datetime.combine(day, shown, tzinfo=here.tzinfo).astimezone(UTC) for day in days]
    true = min(moments, key=lambda moment: abs(moment - concluded))
    return set_clock(
        work,
        clock.id,
        (true - written).total_seconds(),
        surroundings,
        basis=f"the clock on {photo.name}",
        spread_s=1.0 if seconds else 60 / math.sqrt(12),
        memory=memory,
    )


def release_clock(
    work: UnitOfWork, clock_id: str, surroundings: Surroundings, *, memory: ForayMemory | None = None
) -> None:
    """Let the pictures decide again what this camera's clock was."""
    clock = work.clocks.get(clock_id)
    if clock is None:
        raise BadInput("That camera has no clock in this foray.")
    work.clocks.put(replace(clock, by_hand=False))
    propose_again(work, clock.foray_id, surroundings, memory=memory)


def pair_moments(
    work: UnitOfWork, wrong: str, right: str, surroundings: Surroundings, *, memory: ForayMemory | None = None
) -> Clock:
    """Two pictures of the same moment: the camera of `wrong` is set so that both times agree."""
    left, reference = _photo(work, wrong), _photo(work, right)
    if _clock_key(left, memory) == _clock_key(reference, memory):
        raise BadInput("Both pictures are from the same camera. Choose one from each camera.")
    if left.written.local is None or reference.written.local is None:
        raise BadInput("One of the two pictures carries no time, so it cannot set a clock.")
    clocks = {clock.camera_key: clock for clock in work.clocks.where(foray_id=left.foray_id)}
    theirs = clocks.get(_clock_key(reference, memory))
    mine = clocks.get(_clock_key(left, memory))
    if theirs is None or mine is None:
        raise BadInput("One of these cameras has no clock in this foray.")
    true = reference.written.local.replace(tzinfo=UTC) + timedelta(seconds=theirs.offset_s)
    offset = (true - left.written.local.replace(tzinfo=UTC)).total_seconds()
    return set_clock(
        work,
        mine.id,
        offset,
        surroundings,
        basis=f"{left.name} and {reference.name} show one moment",
        spread_s=math.hypot(1.0, theirs.spread_s),
        memory=memory,
    )


def accept(
    work: UnitOfWork,
    group_ids: Sequence[str],
    surroundings: Surroundings,
    *,
    prefix: str = "",
    collector: str = "",
) -> tuple[str, ...]:
    """Make specimens of groups, with numbers for life and the tasks that cannot wait; returns their ids."""
    groups = sorted(
        (group for key in dict.fromkeys(group_ids) if not (group := _group(work, key)).specimen_id),
        key=_start,
    )
    made: list[Specimen] = []
    accepted: list[Group] = []
    forays = {key: work.forays.get(key) for key in {group.foray_id for group in groups}}
    number_of: dict[int, Iterator[str]] = {}
    for group in groups:
        foray = forays[group.foray_id]
        year = (group.start or surroundings.now()).year
        if year not in number_of:
            number_of[year] = _free_numbers(work, prefix, year)
        specimen = Specimen(
            surroundings.new_id(),
            next(number_of[year]),
            group.foray_id,
            group.start,
            group.place,
            collector=collector,
            site=foray.site if foray else "",
            permission=foray.permission if foray else "",
            cover_photo=group.photos[0] if group.photos else "",
        )
        made.append(specimen)
        accepted.append(replace(group, specimen_id=specimen.id, held=True))
    now = surroundings.now()
    work.specimens.put(*made)
    work.groups.put(*accepted)
    work.tasks.put(*(task for specimen in made for task in fresh_tasks(specimen, now, surroundings.new_id)))
    return tuple(specimen.id for specimen in made)


def same_specimen(work: UnitOfWork, group_id: str, specimen_id: str) -> None:
    """This group shows a specimen that is there already: revisited, or on the bench at home."""
    if work.specimens.get(specimen_id) is None:
        raise BadInput("That specimen is not there any longer.")
    group = _group(work, group_id)
    if group.specimen_id and group.specimen_id != specimen_id:
        raise BadInput("This group is another specimen already. Take that acceptance back first.")
    work.groups.put(replace(group, specimen_id=specimen_id, held=True))


def answer_same_as(
    work: UnitOfWork, link_id: str, accepted: bool, surroundings: Surroundings, *, prefix: str = ""
) -> None:
    """Answer the offer 'same specimen as'; an accepted one ties both groups to one specimen."""
    link = work.same_as.get(link_id)
    if link is None:
        raise BadInput("That offer is not there any longer.")
    work.same_as.put(replace(link, accepted=accepted))
    if not accepted:
        return
    group, earlier = _group(work, link.group), _group(work, link.earlier_group)
    known = earlier.specimen_id or group.specimen_id
    if not known:
        known = accept(work, (earlier.id,), surroundings, prefix=prefix)[0]
    for one in (_group(work, earlier.id), group):
        if not one.specimen_id:
            same_specimen(work, one.id, known)


def next_number(work: UnitOfWork, prefix: str, year: int) -> str:
    """The next free specimen number: '2025-014', or with the user's own prefix 'AB-2025-014'."""
    return next(_free_numbers(work, prefix, year))


def _free_numbers(work: UnitOfWork, prefix: str, year: int) -> Iterator[str]:
    start = f"{prefix}-{year}-" if prefix else f"{year}-"
    taken = [
        int(specimen.number[len(start) :])
        for specimen in work.specimens.all()
        if specimen.number.startswith(start) and specimen.number[len(start) :].isdigit()
    ]
    for number in itertools.count(max(taken, default=0) + 1):
        yield f"{start}{number:03d}"


def true_time(
    photo: Photo, clocks: Mapping[str, Clock], clock_keys: Mapping[str, str] | None = None
) -> datetime | None:
    """The concluded moment of a photo, aware UTC, or None without a usable written time.

    `clocks` by camera key; `clock_keys` names, by photo id, the clock of photos of a second body.
    """
    if photo.written.local is None:
        return None
    clock = clocks.get((clock_keys or {}).get(photo.id, photo.camera.key))
    if clock is not None:
        return photo.written.local.replace(tzinfo=UTC) + timedelta(seconds=clock.offset_s)
    if photo.written.offset is not None:
        return photo.written.local.replace(tzinfo=UTC) - photo.written.offset
    return photo.written.local.replace(tzinfo=UTC)


def _clock_key(photo: Photo, memory: ForayMemory | None) -> str:
    return memory.clock_keys.get(photo.id, photo.camera.key) if memory is not None else photo.camera.key


def _photo(work: UnitOfWork, photo_id: str) -> Photo:
    photo = work.photos.get(photo_id)
    if photo is None:
        raise BadInput("That picture is not in the catalogue any longer.")
    return photo


def _group(work: UnitOfWork, group_id: str) -> Group:
    group = work.groups.get(group_id) if group_id else None
    if group is None:
        raise BadInput("That group is not there any longer.")
    return group


def _start(group: Group) -> tuple[bool, float, str]:
    return (group.start is None, group.start.timestamp() if group.start else 0.0, group.id)


def _by_time(work: UnitOfWork, foray_id: str, photo_ids: Sequence[str]) -> tuple[str, ...]:
    clocks = {clock.camera_key: clock for clock in work.clocks.where(foray_id=foray_id)}
    photos = work.photos.where(id=tuple(photo_ids))

    def key(photo: Photo) -> tuple[bool, float, str]:
        moment = true_time(photo, clocks)
        return (moment is None, moment.timestamp() if moment else 0.0, photo.path)

    return tuple(photo.id for photo in sorted(photos, key=key))


def _take_out(work: UnitOfWork, photos: Sequence[Photo], *, keep: str = "", hold: bool = True) -> list[str]:
    """Out of their groups; what stays, and is returned, is held as it is unless they only went to the tray."""
    leaving = {photo.id for photo in photos}
    left: list[str] = []
    for group_id in {photo.group_id for photo in photos if photo.group_id and photo.group_id != keep}:
        group = _group(work, group_id)
        rest = tuple(key for key in group.photos if key not in leaving)
        left.extend(rest)
        if rest:
            work.groups.put(replace(group, photos=rest, held=hold or group.held))
        elif group.specimen_id and len(work.groups.where(specimen_id=group.specimen_id)) == 1:
            raise BadInput("A specimen would be left without any picture. Take its acceptance back first.")
        else:
            work.groups.remove(group.id)
    return left


def _neighbours(work: UnitOfWork, photos: Sequence[Photo]) -> list[str]:
    """The photos beside these in true time."""
    ids = tuple(photo.id for photo in photos)
    beside = [join.before for join in work.joins.where(after=ids)]
    return beside + [join.after for join in work.joins.where(before=ids)]


def _settle_between(work: UnitOfWork, foray_id: str, before: str, after: str, *, together: bool) -> None:
    found = work.joins.where(foray_id=foray_id, before=before, after=after)
    join = found[0] if found else Join(join_id(before, after), foray_id, before, after, 0.5)
    work.joins.put(replace(join, settled=together))
