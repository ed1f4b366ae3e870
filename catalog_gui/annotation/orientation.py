"""From stored to upright pixels and back, for the eight EXIF orientations.

EXIF tag 0x0112 (CIPA DC-008 / JEITA CP-3451, section 4.6.4 A). Values other than 1 to 8 count as 1.
Pixels are integer positions; points are continuous: pixel (x, y) covers x..x+1, y..y+1, so that the far edge
of a picture lies at its width and not at its width minus one.
"""

from __future__ import annotations

from catalog_gui.domain.plane import Point

Size = tuple[int, int]
Region = tuple[float, float, float, float]  # x, y of the top left corner, width, height

_INVERSE = {6: 8, 8: 6}


def known(orientation: int | None) -> int:
    """The orientation itself if it is 1 to 8, else 1."""
    return orientation if orientation is not None and 1 <= orientation <= 8 else 1


def inverse(orientation: int | None) -> int:
    """The orientation that leads back: 6 and 8 undo each other, each of the rest undoes itself."""
    value = known(orientation)
    return _INVERSE.get(value, value)


def upright_size(stored: Size, orientation: int | None) -> Size:
    """Width and height as seen. The same function leads from upright to stored size."""
    width, height = stored
    return (height, width) if known(orientation) >= 5 else (width, height)


def _turned(x: float, y: float, width: float, height: float, orientation: int) -> Point:
    """Where (x, y) lands when `width` and `height` are the largest coordinates there are."""
    match orientation:
        case 2:
            return width - x, y
        case 3:
            return width - x, height - y
        case 4:
            return x, height - y
        case 5:
            return y, x
        case 6:
            return height - y, x
        case 7:
            return height - y, width - x
        case 8:
            return y, width - x
        case _:
            return x, y


def pixel_to_upright(pixel: tuple[int, int], stored: Size, orientation: int | None) -> tuple[int, int]:
    """Where a stored pixel is seen; `stored` is the stored width and height."""
    x, y = _turned(pixel[0], pixel[1], stored[0] - 1, stored[1] - 1, known(orientation))
    return int(x), int(y)


def pixel_to_stored(pixel: tuple[int, int], stored: Size, orientation: int | None) -> tuple[int, int]:
    """Where an upright pixel is stored."""
    seen = upright_size(stored, orientation)
    x, y = _turned(pixel[0], pixel[1], seen[0] - 1, seen[1] - 1, inverse(orientation))
    return int(x), int(y)


def to_upright(point: Point, stored: Size, orientation: int | None) -> Point:
    """Where a point of the stored picture is seen."""
    return _turned(point[0], point[1], stored[0], stored[1], known(orientation))


def to_stored(point: Point, stored: Size, orientation: int | None) -> Point:
    """Where a point of the upright picture is stored."""
    seen = upright_size(stored, orientation)
    return _turned(point[0], point[1], seen[0], seen[1], inverse(orientation))


def _box(first: Point, second: Point) -> Region:
    left, right = sorted((first[0], second[0]))
    top, bottom = sorted((first[1], second[1]))
    return left, top, right - left, bottom - top


def region_to_upright(region: Region, stored: Size, orientation: int | None) -> Region:
    """A stored rectangle (x, y, width, height) as it is seen."""
    x, y, width, height = region
    return _box(
        to_upright((x, y), stored, orientation), to_upright((x + width, y + height), stored, orientation)
    )


def region_to_stored(region: Region, stored: Size, orientation: int | None) -> Region:
    """An upright rectangle (x, y, width, height) as it is stored."""
    x, y, width, height = region
    return _box(
        to_stored((x, y), stored, orientation), to_stored((x + width, y + height), stored, orientation)
    )
