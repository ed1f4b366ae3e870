"""Keeps the worst taxon not excluded of each specimen with the version of the records it was reckoned from.

Weighing every specimen takes longer than a list may wait, so it is done beside the work and kept. A row is
current while `reckoned` is its `version`; whoever changes what is weighed raises the version in the same
transaction, undo and redo too. So an answer that comes late never stands for records it did not see.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence

from sqlalchemy import Connection

from catalog_gui.catalogue.tables import RECORD_TABLES
from catalog_gui.catalogue.write_buffer import Changes
from catalog_gui.domain.ledger import Reckoned, ToReckon

WEIGHED = ("evidence", "determinations")
"""Shelves whose rows are weighed; the specimen itself with its day is a third."""

_RAISE = """
INSERT INTO not_excluded (specimen_id, version)
SELECT id, 1 FROM specimens WHERE id IN (SELECT value FROM json_each(?))
ON CONFLICT (specimen_id) DO UPDATE SET version = version + 1
"""
_DROP = """
DELETE FROM not_excluded WHERE specimen_id IN (SELECT value FROM json_each(?))
AND specimen_id NOT IN (SELECT id FROM specimens)
"""
_THERE = "SELECT id FROM specimens WHERE id IN (SELECT value FROM json_each(?))"
_CURRENT = """
SELECT specimen_id, severity, taxon, deadly, dangerous FROM not_excluded
WHERE reckoned = version AND typeof(deadly) = 'integer' AND typeof(dangerous) = 'integer'
AND specimen_id IN (SELECT value FROM json_each(?))
"""


def touch(connection: Connection, changes: Changes) -> None:
    """Mark as not current what a step changed, before the step ends."""
    ids: dict[str, None] = dict.fromkeys(changes.get("specimens", {}))
    for name in WEIGHED:
        place = [column.name for column in RECORD_TABLES[name].c].index("specimen_id")
        for pair in changes.get(name, {}).values():
            ids.update((str(row[place]), None) for row in pair if row is not None and row[place])
    if not ids:
        return
    wanted = json.dumps(list(ids))
    connection.exec_driver_sql(_RAISE, (wanted,))
    connection.exec_driver_sql(_DROP, (wanted,))


def asked(connection: Connection, basis: str, limit: int) -> tuple[ToReckon, ...]:
    """The specimens that are not weighed yet as they stand now, or not with this reference; newest first."""
    rows = connection.exec_driver_sql(
        "SELECT s.id, coalesce(n.version, 0) FROM specimens AS s "
        "LEFT JOIN not_excluded AS n ON n.specimen_id = s.id "
        "WHERE n.reckoned IS NULL OR n.reckoned != n.version OR n.basis != ? "
        "OR typeof(n.deadly) != 'integer' OR typeof(n.dangerous) != 'integer' "
        "ORDER BY s.collected_at DESC, s.seq DESC LIMIT ?",
        (basis, max(limit, 0)),
    )
    return tuple(ToReckon(row[0], row[1]) for row in rows)


def forget_other(connection: Connection, basis: str) -> None:
    """Mark as not current what was reckoned with another reference."""
    connection.exec_driver_sql(
        "UPDATE not_excluded SET reckoned = NULL WHERE reckoned IS NOT NULL AND basis != ?", (basis,)
    )


def keep(connection: Connection, basis: str, found: Sequence[Reckoned]) -> None:
    """Write what was reckoned; of a specimen that is gone nothing is kept."""
    ids = json.dumps([one.specimen_id for one in found])
    there = {row[0] for row in connection.exec_driver_sql(_THERE, (ids,))}
    rows = [
        (one.specimen_id, one.version, one.version, basis, one.severity, one.taxon, one.deadly, one.dangerous)
        for one in found
        if one.specimen_id in there
    ]
    if rows:
        connection.exec_driver_sql(
            "INSERT INTO not_excluded VALUES (?, ?, ?, ?, ?, ?, ?, ?) "
            "ON CONFLICT (specimen_id) DO UPDATE SET reckoned = excluded.reckoned, basis = excluded.basis, "
            "severity = excluded.severity, taxon = excluded.taxon, deadly = excluded.deadly, "
            "dangerous = excluded.dangerous",
            rows,
        )


def found(connection: Connection, ids: Iterable[str]) -> dict[str, tuple[str, str, int, int]]:
    """Specimen to severity, taxon, how many can kill and how many in all, of those that are current."""
    rows = connection.exec_driver_sql(_CURRENT, (json.dumps(list(ids)),))
    return {row[0]: (row[1], row[2], row[3], row[4]) for row in rows}
