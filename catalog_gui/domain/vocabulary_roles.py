"""The features that mean something to the program itself, by role: the only place that quotes their ids.

What a feature is called, its states, where to look and how easily it is lost come from the pack. Here stands
only which feature plays which part in a rule: which one tells the form, the month, the volva. Pictures of
features are drawn by `drawing`, which knows them by id as well. Where a pack lacks one, rules that name it
say nothing.
"""

from __future__ import annotations

FORM = "whole.form"
GROWTH = "whole.growth"

CAP_WIDTH = "cap.width"
CAP_SHAPE = "cap.shape"
CAP_CENTRE = "cap.centre"
CAP_SURFACE = "cap.surface"
CAP_PATCHES = "cap.patches"
CAP_COLOUR = "cap.colour"
CAP_DRYING = "cap.drying"
CAP_HEAD_KIND = "cap.head-kind"
CAP_HEAD_JOINED = "cap.head-joined"

UNDERSIDE = "gills.kind"
GILL_ATTACHMENT = "gills.attachment"
GILLS_SPACING = "gills.spacing"
GILLS_SHORT = "gills.short"
GILL_COLOUR = "gills.colour"
YOUNG_GILL_COLOUR = "gills.young-colour"
GILLS_FORKING = "gills.forking"
GILLS_TEXTURE = "gills.texture"
GILLS_BRUISE = "gills.bruise"
MILK = "gills.milk"
MILK_CHANGE = "gills.milk-change"
PORE_COLOUR = "gills.pore-colour"
PORE_BRUISE = "gills.pore-bruise"
GILLS_FOLDS_DEPTH = "gills.folds-depth"

STEM_LENGTH = "stem.length"
STEM_WIDTH = "stem.width"
STEM_SHAPE = "stem.shape"
STEM_SURFACE = "stem.surface"
STEM_CORE = "stem.core"
STEM_FIBRE = "stem.fibre"
STEM_NET = "stem.net"

RING = "ring.kind"
RING_POSITION = "ring.position"
RING_UPPER_FACE = "ring.upper-face"
CORTINA = "ring.cortina"

BASE_SHAPE = "base.shape"
VOLVA = "base.volva"
ROOT = "base.rooting"
CUT_BASE_COLOUR = "base.cut-colour"

FLESH_COLOUR = "flesh.colour"
FLESH_CHANGE = "flesh.change"
FLESH_INSIDE = "flesh.inside"

PRINT_COLOUR = "print.colour"

SMELL = "smell.kind"

TASTE = "taste.kind"

SPORE_LENGTH = "micro.spore-length"
SPORE_WIDTH = "micro.spore-width"
SPORE_Q = "micro.spore-q"

SUBSTRATE = "place.substrate"
TREES = "place.trees"
HABITAT = "place.habitat"
REGION = "place.region"

MONTH = "season.month"
