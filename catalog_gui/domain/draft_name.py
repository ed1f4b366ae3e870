"""What a file is called while it is being written, so that one left behind by a kill is known for ours.

A draft stands hidden beside its target as `.foray-bench-draft-<machine>-<process>-<letters>`. It is stale
when the process that made it has ended, which only its own machine can tell, or when it is very old.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from zlib import crc32

PREFIX = ".foray-bench-draft-"
VERY_OLD_S = 2 * 86400.0
_NAME = re.compile(re.escape(PREFIX) + r"([0-9a-f]{8})-(\d{1,10})-.+")


@dataclass(frozen=True, slots=True)
class Draft:
    """Who made a draft: a short sign of the machine's name, and the process there."""

    machine: str
    process: int


def draft_prefix(machine: str, process: int) -> str:
    """How the name of a draft of this process begins; letters of the writer's choice follow."""
    return f"{PREFIX}{machine_sign(machine)}-{process}-"


def machine_sign(machine: str) -> str:
    """Eight hexadecimal figures that stand for a machine's name without giving it away."""
    return f"{crc32(machine.encode('utf-8', 'replace')):08x}"


def read_draft(name: str) -> Draft | None:
    """The maker of a draft by its file name; None for any other file."""
    found = _NAME.fullmatch(name)
    return Draft(found[1], int(found[2])) if found else None
