"""What Qt needs from the system, checked before it aborts, with the names of the packages to install."""

from __future__ import annotations

import ctypes
import os
from platform import system

LIBRARIES = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libxkbcommon.so.0": "libxkbcommon0",
}
WINDOW_LIBRARIES = {
    "libX11-xcb.so.1": "libx11-xcb1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}


def what_is_missing() -> str:
    """One line that says what to install or set, or '' when a window can be opened.

    Package names are Debian's; other systems call them much the same.
    """
    if system() != "Linux":
        return ""
    platform = os.environ.get("QT_QPA_PLATFORM", "")
    wanted = dict(LIBRARIES)
    plain = platform.split(":")[0] in ("offscreen", "minimal", "vnc")
    wayland = platform.startswith("wayland") or (
        not platform and os.environ.get("WAYLAND_DISPLAY") and not os.environ.get("DISPLAY")
    )
    if not plain and not wayland:
        if not os.environ.get("DISPLAY") and not os.environ.get("WAYLAND_DISPLAY"):
            return "No screen was found: neither DISPLAY nor WAYLAND_DISPLAY is set. Start it from a desktop."
        wanted |= WINDOW_LIBRARIES
    missing = [package for library, package in wanted.items() if not _loads(library)]
    if not missing:
        return ""
    return (
        "Qt needs system libraries that are not installed. On Debian or Ubuntu: sudo apt install "
        + " ".join(missing)
    )


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
