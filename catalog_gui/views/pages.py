"""Lists the five pages in the order of the evening. A new page is added here and nowhere else."""

from __future__ import annotations

from catalog_gui.views.catalogue.page import CataloguePage
from catalog_gui.views.compare.page import ComparePage
from catalog_gui.views.describe.page import DescribePage
from catalog_gui.views.outputs.page import HandOnPage
from catalog_gui.views.sort.page import SortPage

ALL = (SortPage, DescribePage, ComparePage, HandOnPage, CataloguePage)
