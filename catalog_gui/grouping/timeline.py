"""The timeline: every photo with its true time, its photographer and its believed fix."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from catalog_gui.grouping import clocks, places
from catalog_gui.grouping.columns import Columns, Floats, Ints
from catalog_gui.grouping.same_photographer import photographers_of
from catalog_gui.grouping.split_cameras import SECOND_CAMERA, split_cameras


@dataclass(slots=True)
class Timeline:
    """Everything known by row of `columns`; `order` lists the rows that have a true time, ascending.

    `true` is UTC s (NaN unknown), `device` the camera, `person` who carried it, `spread` the doubt about the
    clock in s.
    """

    columns: Columns
    streams: list[clocks.Stream]
    true: Floats
    device: Ints
    person: Ints
    spread: Floats
    order: Ints
    where: places.Whereabouts


def make_timeline(
    columns: Columns, usable: Ints, held_clocks: Mapping[str, float], time_zone: str, now: datetime | None
) -> Timeline:
    """Conclude clocks, true times, photographers and fixes for the `usable` rows."""
    streams = _streams(columns, usable, time_zone)
    clocks.settle(columns, streams, held_clocks, now)
    n = len(columns.ids)
    true, device = np.full(n, np.nan), np.full(n, -1, np.int64)
    spread = np.zeros(n)
    for index, stream in enumerate(streams):
        true[stream.rows] = stream.nominal + stream.error
        device[stream.rows] = index
        spread[stream.rows] = min(stream.spread, 300.0)
    lost = usable[np.isnan(true[usable])]
    true[lost] = columns.satellite[lost]
    times = [np.sort(true[s.rows][~np.isnan(true[s.rows])]) for s in streams]
    person_of = photographers_of(times, [s.grain for s in streams], [s.sure for s in streams])
    person = np.where(device >= 0, person_of[np.maximum(device, 0)], -1) if len(streams) else device
    rows = usable[~np.isnan(true[usable])]
    order = _in_order(columns, rows, true, device)
    return Timeline(
        columns, streams, true, device, person, spread, order, places.believe(columns, device, true, order)
    )


def _in_order(columns: Columns, rows: Ints, true: Floats, device: Ints) -> Ints:
    """Rows by true time; where times are equal by counter (9999 is followed by 1), then by id."""
    first = rows[np.argsort(true[rows])]
    tied = np.flatnonzero(np.diff(true[first]) == 0.0)
    if not len(tied):
        return first
    counter = columns.counter.copy()
    of = device[first]
    for one in range(-1, int(of.max()) + 1):
        mine = first[(of == one) & (counter[first] >= 0)]
        fallen = np.flatnonzero(np.diff(counter[mine]) < -5000)
        if len(fallen):
            turned = mine[true[mine] >= true[mine[fallen[0]]]]  # 9999 and 1 may share a second
            counter[turned[counter[turned] < 5000]] += 10_000
    equal = np.zeros(len(rows), np.bool_)
    equal[tied] = equal[tied + 1] = True
    level = first[equal]
    rank = np.zeros(len(true), np.int64)  # of the id, where nothing else may tell the order
    named = sorted(level.tolist(), key=columns.ids.__getitem__)
    rank[named] = np.arange(len(named))
    first[equal] = level[np.lexsort((rank[level], counter[level], device[level], true[level]))]
    return first


def _streams(columns: Columns, usable: Ints, time_zone: str) -> list[clocks.Stream]:
    found: list[clocks.Stream] = []
    for camera, key in enumerate(columns.keys):
        rows = usable[columns.camera[usable] == camera]
        if not len(rows):
            continue
        parts = split_cameras(columns, key, rows)
        for number, part in enumerate(parts):
            stream = _stream(columns, key + SECOND_CAMERA.format(number + 1) * bool(number), part, time_zone)
            if len(parts) > 1 and not number:
                stream.note = (
                    f"{len(parts)} cameras seem to share the name {key} and write no serial number. "
                    "Their pictures were told apart by numbering or folder."
                )
            found.append(stream)
    _lend_zones(columns, found)
    return found


def _stream(columns: Columns, key: str, rows: Ints, time_zone: str) -> clocks.Stream:
    written, tag = columns.written[rows], columns.tag[rows]
    tagged = ~np.isnan(tag) & ~np.isnan(written)
    if tagged.any():
        first = float(tag[tagged][0])
        usual = first if (tag[tagged] == first).all() else float(np.median(tag[tagged]))
        zone = -np.where(np.isnan(tag), usual, tag)
        phone = bool((~np.isnan(columns.latitude[rows])).mean() > 0.2)
        rank = 2 if phone else 3
        return clocks.Stream(key, rows, written + zone, -usual, "zone tag", tagged=True, rank=rank)
    dated = written[~np.isnan(written)]
    zone_s = clocks.zone_offset(time_zone, float(dated.min())) if time_zone and len(dated) else None
    basis = f"zone {time_zone}" if zone_s is not None else ""
    return clocks.Stream(key, rows, written + (zone_s or 0.0), zone_s or 0.0, basis, tagged=False)


def _lend_zones(columns: Columns, streams: list[clocks.Stream]) -> None:
    """Give streams that know no zone that of their satellite times, else that of the best-known camera."""
    for stream in streams:
        zone = None if stream.zone_basis else _zone_from_satellites(columns, stream)
        if zone is not None:
            stream.zone_s, stream.zone_basis = zone, "zone from satellite times"
            stream.nominal = columns.written[stream.rows] + zone
    known = [s for s in streams if s.zone_basis]
    if not known:
        return
    best = min(known, key=lambda s: (s.rank, -len(s.rows)))
    for stream in streams:
        if not stream.zone_basis:
            stream.zone_s, stream.zone_basis = best.zone_s, f"zone as on {best.key}"
            stream.nominal = columns.written[stream.rows] + best.zone_s


def _zone_from_satellites(columns: Columns, stream: clocks.Stream) -> float | None:
    d = columns.satellite[stream.rows] - columns.written[stream.rows]
    d = d[~np.isnan(d)]
    if not len(d):
        return None
    middle = float(np.median(d))
    zone = round(middle / 900.0) * 900.0
    return zone if -14 * 3600 <= zone <= 12 * 3600 and abs(middle - zone) < 300.0 else None
