"""Says times, distances, counts and places in the words of the screen."""

from __future__ import annotations

from datetime import date, datetime, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from catalog_gui.domain.caution import NO_NUMBERS
from catalog_gui.domain.day_words import write_day
from catalog_gui.domain.foray import Place
from catalog_gui.domain.lengths import shown_size
from catalog_gui.geo.notation import Notation, show_position
from catalog_gui.settings import Preferences, ScreenGrid

_GRIDS = {
    ScreenGrid.BRITISH: Notation.BRITISH,
    ScreenGrid.IRISH: Notation.IRISH,
    ScreenGrid.UTM: Notation.UTM,
    ScreenGrid.MGRS: Notation.MGRS,
}


def zone_of(name: str) -> tzinfo | None:
    """The zone of a tz database name; None (the system's own) where it is empty or unknown."""
    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        return None


def clock_time(moment: datetime | None, zone: str = "", *, seconds: bool = False) -> str:
    """'14:07' in the foray's zone, or '–' where it is not known."""
    if moment is None:
        return "–"
    local = moment.astimezone(zone_of(zone))
    return f"{local:%H:%M:%S}" if seconds else f"{local:%H:%M}"


def day(moment: datetime | None, preferences: Preferences, zone: str = "") -> str:
    """The date in the form that is preferred, or 'no date'."""
    if moment is None:
        return "no date"
    return write_day(moment.astimezone(zone_of(zone)).date(), preferences.date_format)


def span(seconds: float | None) -> str:
    """A length of time in words: '40 s', '12 min', '2 h 05 min', '3 days'."""
    if seconds is None:
        return "unknown time"
    whole = abs(round(seconds))
    if whole < 90:
        return f"{whole} s"
    if whole < 90 * 60:
        return f"{round(whole / 60)} min"
    if whole < 48 * 3600:
        hours, rest = divmod(whole, 3600)
        return f"{hours} h {rest // 60:02d} min"
    return f"{round(whole / 86400)} days"


def counted(count: int, noun: str) -> str:
    """A number of things: '1 picture', '3 pictures', '0 pictures'."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def metres(distance: float | None) -> str:
    """'35 m' or '1.2 km', no finer than fixes allow."""
    if distance is None:
        return "unknown distance"
    if distance < 1000:
        return f"{round(distance)} m"
    return f"{distance / 1000:.1f} km"


def offset_words(seconds: float) -> str:
    """A clock correction in words: '+4 s', '−12 min', '+1 h 00 min 07 s'; '0 s' for none."""
    whole = round(abs(seconds))
    if not whole:
        return "0 s"
    figures = (whole // 86400, whole // 3600 % 24, whole // 60 % 60, whole % 60)
    first = next(at for at, figure in enumerate(figures) if figure)
    last = max(at for at, figure in enumerate(figures) if figure)
    parts = [
        f"{figures[at]:02d} {_UNITS[at]}" if at > max(first, 1) else f"{figures[at]} {_UNITS[at]}"
        for at in range(first, last + 1)
    ]
    return ("−" if seconds < 0 else "+") + " ".join(parts)


_UNITS = ("d", "h", "min", "s")


def place_words(place: Place | None, preferences: Preferences | None = None) -> str:
    """A place with its honest uncertainty: '51.12345, −1.23456 ± 9 m', or in the preferred grid: 'SO602128 ± 9 m'.

    The first reference in a grid loads its projections: ask for it off the GUI thread.
    """
    if place is None:
        return "no place"
    around = max(1, round(place.uncertainty_m))
    grid = _GRIDS.get(preferences.grid) if preferences is not None else None
    if grid is not None:
        return f"{show_position(place.position, grid, place.uncertainty_m)} ± {around} m"
    digits = 5 if place.uncertainty_m < 30 else 4 if place.uncertainty_m < 300 else 3
    latitude = f"{place.position.latitude:.{digits}f}".replace("-", "−")
    longitude = f"{place.position.longitude:.{digits}f}".replace("-", "−")
    return f"{latitude}, {longitude} ± {around} m"


def written_day(iso_day: str, preferences: Preferences) -> str:
    """An ISO day (the day on the spot) in the form that is preferred, or 'no date'."""
    try:
        return write_day(date.fromisoformat(iso_day), preferences.date_format)
    except ValueError:
        return "no date"


def size_words(low: float | None, high: float | None, unit: str, preferences: Preferences) -> str:
    """A size in the preferred unit: '40–65 mm' or '4–6.5 cm'; spores and what is no length stay as noted."""
    return shown_size(low, high, unit, preferences.units)


def emergency_words(preferences: Preferences) -> str:
    """Whom to call, as the user typed it; what to do where nothing was typed. No number is built in."""
    lines = []
    if preferences.emergency_number:
        lines.append(f"Emergency: {preferences.emergency_number}")
    if preferences.poison_service:
        country = f" ({preferences.country})" if preferences.country else ""
        lines.append(f"Poison service{country}: {preferences.poison_service}")
    if not lines:
        return NO_NUMBERS
    if len(lines) == 1:
        lines.append("No poison service is set." if preferences.emergency_number else "No emergency number.")
    return "\n".join(lines)
