"""Lists what there is to choose for each kind of paper, and numbers slips onwards from a number."""

from __future__ import annotations

LICENCES = (
    ("No licence stated", ""),
    ("CC0 (public domain)", "http://creativecommons.org/publicdomain/zero/1.0/legalcode"),
    ("CC BY 4.0", "http://creativecommons.org/licenses/by/4.0/legalcode"),
    ("CC BY-NC 4.0", "http://creativecommons.org/licenses/by-nc/4.0/legalcode"),
)


EDGES = ((1600, "1600 px"), (1024, "1024 px"), (2400, "2400 px"), (0, "full size"))


def numbers_from(first: str, count: int) -> tuple[str, ...]:
    """`count` numbers from '2025-041' on; () for a text that does not end in figures."""
    start = len(first.rstrip("0123456789"))
    if not first[start:]:
        return ()
    width = len(first) - start
    return tuple(f"{first[:start]}{int(first[start:]) + step:0{width}d}" for step in range(count))
