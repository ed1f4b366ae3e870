"""Common sheets of labels, by their measures. Common practice of stationers; from memory, no single source."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.domain.page import A4_MM, LETTER_MM


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """How labels stand on a sheet, in mm. `lines`: cutting lines are printed (plain paper)."""

    name: str
    size_mm: tuple[float, float]
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    gap_x: float = 0.0
    gap_y: float = 0.0
    lines: bool = False

    @property
    def places(self) -> int:
        """How many labels a sheet holds."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """Upper left corner of label `place` (0 first, row by row) in mm."""
        row, column = divmod(place, self.columns)
        return self.left + column * (self.width + self.gap_x), self.top + row * (self.height + self.gap_y)


LABEL_SHEETS = (
    LabelSheet("A4, 2 × 4 labels, 99.1 × 67.7 mm", A4_MM, 2, 4, 99.1, 67.7, 4.65, 13.1, 2.5),
    LabelSheet("A4, 2 × 7 labels, 99.1 × 38.1 mm", A4_MM, 2, 7, 99.1, 38.1, 4.65, 15.15, 2.5),
    LabelSheet("A4, 3 × 7 labels, 63.5 × 38.1 mm", A4_MM, 3, 7, 63.5, 38.1, 7.25, 15.15, 2.5),
    LabelSheet("A4, 3 × 8 labels, 70 × 37 mm", A4_MM, 3, 8, 70.0, 37.0, 0.0, 0.5),
    LabelSheet("A4 plain paper to cut, 2 × 4", A4_MM, 2, 4, 95.0, 66.0, 10.0, 16.5, lines=True),
    LabelSheet("Letter, 2 × 5 labels, 4 × 2 in", LETTER_MM, 2, 5, 101.6, 50.8, 4.0, 12.7, 4.7),
    LabelSheet("Letter, 3 × 10 labels, 2⅝ × 1 in", LETTER_MM, 3, 10, 66.7, 25.4, 4.8, 12.7, 3.2),
    LabelSheet("Letter plain paper to cut, 2 × 4", LETTER_MM, 2, 4, 97.0, 62.0, 10.95, 15.7, lines=True),
)
"""The first is what a new order begins with on A4; the first on Letter stands for that paper."""
