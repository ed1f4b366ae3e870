"""Offers searches to begin with, and writes the conditions that other parts of the page search with."""

from __future__ import annotations

EXAMPLES = (
    ("Anything you wrote or chose", "beech"),
    ("A state of a part", "base: sac-like volva"),
    ("A part that was gone", "ring: gone"),
    ("What nobody looked at", "missing: base"),
    ("Not named yet", "undetermined"),
    ("Named after something hazardous", "hazard: fatal"),
    ("Something that can kill is not excluded", "not-excluded: danger"),
    ("A name, old or new", "taxon: death cap"),
    ("A month of any year", "date: october"),
    ("Some months of one year", "date: 2025-09..2025-11"),
    ("Without a place", "missing: place"),
    ("A country, province or county", "county: herefordshire"),
)


COMBINED = (
    ("White gills, and nobody looked at the base", "gills: white, missing: base"),
    ("Not named, in October, but not under beech", "undetermined, date: october, -beech"),
    ("The death cap is the worst not excluded, and nobody named it", "not-excluded: death cap, undetermined"),
    ("Hazardous, with the ring gone", "hazard: fatal, ring: gone"),
    ("Of one person, without pictures", "collector: moss, missing: picture"),
)


def of_foray(title: str) -> str:
    """The condition that finds a foray's specimens by its title; '' for a foray without one."""
    plain = " ".join(title.replace('"', " ").split())
    return f'foray: "{plain}"' if plain else ""


def of_name(name: str, foray: str) -> str:
    """The finds of one name, or those not named yet (''), within a condition on the foray."""
    return ", ".join(part for part in (f"taxon: {name}" if name else "undetermined", foray) if part)


def of_month(text: str, name: str, month: str) -> str:
    """The finds of a month ('2025-10') of one name, or within a search in place of its own date ('' no name)."""
    kept = [part for one in text.split(",") if (part := one.strip()) and not part.startswith("date:")]
    return ", ".join([*([f"taxon: {name}"] if name else kept), f"date: {month}"])
