"""Points and boxes on a flat sheet: a picture in pixels, or a drawing in its own units; y grows downwards."""

from __future__ import annotations

Point = tuple[float, float]
"""x and y."""

Box = tuple[float, float, float, float]
"""left, top, right, bottom."""
