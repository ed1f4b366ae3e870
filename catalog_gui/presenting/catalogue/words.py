"""Says what a find, its hazard, its season and its tasks are, in short words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from catalog_gui.domain.day_words import DAYS, MONTHS
from catalog_gui.domain.ledger import Found, SeasonCount
from catalog_gui.domain.specimen import Task
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.presenting.words import clock_time, counted, day, metres, span, zone_of
from catalog_gui.settings import Preferences

_SEVERITIES = {severity.value: severity for severity in Severity}


def severity_of(found: Found) -> Severity | None:
    """The severity of its present name, where one is documented."""
    return _SEVERITIES.get(found.hazard)


def hazard_words(found: Found) -> str:
    """What the sign says, for tooltips and readers: '' without a documented hazard."""
    severity = severity_of(found)
    if severity is None:
        return found.hazard
    return f"{SIGNAL_WORDS[severity]}: {found.name} {severity.means}."


WORST_MEANS = (
    "The worst taxon of the reference that the records of this specimen do not exclude, named or not. "
    "That none fits is no clearance: records can be wrong and the list is incomplete."
)


def worst_severity(found: Found) -> Severity | None:
    """The grade of the worst taxon that the records do not exclude; None where none fits or none was weighed."""
    return _SEVERITIES.get(found.worst.severity) if found.worst is not None else None


def worst_words(found: Found) -> str:
    """'20 can kill: Amanita phalloides', the number first; says so where nothing was weighed or nothing fits."""
    worst = found.worst
    if worst is None:
        return "not weighed yet"
    if not worst.dangerous:
        return "none listed fits: no clearance"
    if worst.deadly:
        return f"{worst.deadly} can kill: {worst.name}"
    return f"{worst.dangerous}: {worst.name}"


def worst_in_full(found: Found) -> str:
    """The same as a sentence, with its signal word and all numbers."""
    severity, worst = worst_severity(found), found.worst
    if severity is None or worst is None:
        return WORST_MEANS
    taxa = "1 dangerous taxon is" if worst.dangerous == 1 else f"{worst.dangerous} dangerous taxa are"
    return (
        f"{SIGNAL_WORDS[severity]}: {worst.name} {severity.means}. "
        f"{taxa} not excluded; {worst.deadly} of them can kill."
    )


def short_day(iso_day: str) -> str:
    """The day of an ISO date without its year: '18 Oct'."""
    found = date.fromisoformat(iso_day)
    return f"{found.day} {MONTHS[found.month - 1][:3]}"


def first_and_last(counts: tuple[SeasonCount, ...]) -> str:
    """The earliest and latest day of any year, and the years, in one sentence; '' for no dated finds."""
    if not counts:
        return ""
    first = min((c.first for c in counts), key=lambda day: day[5:])
    last = max((c.last for c in counts), key=lambda day: day[5:])
    years = sorted({c.year for c in counts})
    span = f"{years[0]}" if len(years) == 1 else f"{years[0]}–{years[-1]}"
    if first[5:] == last[5:]:
        return f"{short_day(first)}, {span}"
    return f"{short_day(first)} to {short_day(last)}, {span}"


def due_words(task: Task, now: datetime, preferences: Preferences, zone: str) -> str:
    """'2 h 05 min late', 'in 40 min', 'Sun 12:20', or the date and time; 'no time set' without one."""
    if task.due is None:
        return "no time set"
    left = (task.due - now).total_seconds()
    if left < 0:
        return f"{span(left)} late"
    if left < 12 * 3600:
        return f"in {span(left)}"
    if left < 6 * 86400:
        weekday = DAYS[task.due.astimezone(zone_of(zone)).weekday()]
        return f"{weekday[:3]} {clock_time(task.due, zone)}"
    return f"{day(task.due, preferences, zone)}, {clock_time(task.due, zone)}"


NOTHING_KEPT = (
    "No specimen is kept yet.\n\n"
    "Take in the pictures of a foray, look at the doubtful joins on Sort and accept the groups. "
    "Each becomes a specimen with a number for life and stands here, to be found by what you wrote."
)


NOTHING_FOUND = (
    "Nothing matches this search.\n\n"
    "All conditions hold together: take one away, or write the beginning of a word only. "
    "'Ways to search' has examples."
)


def count_words(count: int, noun: str, *, searched: bool = False) -> str:
    """How many there are of what is in front: '1,204 specimens found'."""
    return f"{count:,} {noun}{'' if count == 1 else 's'}{' found' if searched else ''}"


def tasks_words(tasks: Sequence[Task], now: datetime, *, more: bool) -> str:
    """How many tasks are open, and how many of them late; `more` where not all are listed."""
    if not tasks:
        return "No open tasks"
    late = sum(1 for task in tasks if task.overdue(now))
    words = f"{'More than ' if more else ''}{counted(len(tasks), 'open task')}"
    return words + (f", {late} overdue" if late else "")


def place_tip(number: str, name: str, uncertainty_m: float | None) -> str:
    """One find on the plan, with how far its place may be off."""
    return f"{number}, {name or 'not named yet'}, ± {metres(max(1.0, uncertainty_m or 0))}"
