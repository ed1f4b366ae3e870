"""The door: `foray-bench` opens the window; `propose` and `weigh` work without one."""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program. Returns the exit code: 0 well, 2 bad input or a missing system library."""
    from catalog_gui import commandline  # noqa: PLC0415 - keeps `python -m catalog_gui` light to import

    return commandline.run(list(sys.argv[1:] if arguments is None else arguments))


if __name__ == "__main__":
    sys.exit(main())
