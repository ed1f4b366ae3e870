"""Names the parts of a fruit body, as headings."""

from __future__ import annotations

from catalog_gui.domain.feature import Part

TITLES = {
    Part.WHOLE: "Whole",
    Part.CAP: "Cap",
    Part.GILLS: "Gills",
    Part.STEM: "Stem",
    Part.RING: "Ring",
    Part.BASE: "Base",
    Part.FLESH: "Flesh",
    Part.PRINT: "Spore print",
    Part.SMELL: "Smell",
    Part.TASTE: "Taste",
    Part.REACTION: "Reactions",
    Part.MICRO: "Microscope",
    Part.PLACE: "Place of growth",
    Part.SEASON: "Season",
}
"""Short ones, for a page about one find."""

FULL_TITLES = {**TITLES, Part.WHOLE: "Whole fruit body", Part.GILLS: "Gills, pores, spines or folds"}
"""For a page about several taxa, which need not have gills."""
