"""Asks how long a scale is: a typed length, or a coin or card that lay beside the find."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QFormLayout, QLineEdit, QWidget

from catalog_gui.annotation.known_scales import KNOWN_SCALES, KnownScale
from catalog_gui.annotation.quantity import Quantity
from catalog_gui.domain.problem import BadInput
from catalog_gui.presenting.canvas.typed import typed_length
from catalog_gui.views.widgets.labels import label

_RULER_U_MM = 0.25  # our allowance for a ruler read to about half a millimetre line


class ScaleDialog(QDialog):
    """Asks for the known length. `result_scale()` gives millimetres, their uncertainty and a name."""

    def __init__(self, parent: QWidget, *, last: str = "") -> None:
        super().__init__(parent)
        self.setObjectName("canvas-scale-dialog")
        self.setWindowTitle("How long is this?")
        self.known = QComboBox()
        self.known.setObjectName("canvas-scale-known")
        self.known.setAccessibleName("Known thing")
        self.known.addItem("a ruler or another length", None)
        for scale in KNOWN_SCALES:
            self.known.addItem(f"{scale.name}   {scale.length_mm:g} mm", scale.id)
        self.length = QLineEdit()
        self.length.setObjectName("canvas-scale-length")
        self.length.setAccessibleName("Length")
        self.length.setPlaceholderText("50 mm, 3 cm, 100 µm")
        self.length.setText(last)
        self.length.selectAll()
        self.doubt = QLineEdit(f"{_RULER_U_MM:g}")
        self.doubt.setObjectName("canvas-scale-doubt")
        self.doubt.setAccessibleName("Standard uncertainty of the length in mm")
        self.doubt.setToolTip("How exactly the thing itself is known, as a standard uncertainty in mm")
        self.hint = label(
            "Set both ends on lines of the ruler.", "faded", name="canvas-scale-hint", wrap=True
        )
        self.hint.setMinimumWidth(330)
        self.trouble = label("", "trouble", name="canvas-scale-trouble", wrap=True)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        form = QFormLayout(self)
        form.addRow("Length", self.length)
        form.addRow("or a known thing", self.known)
        form.addRow("Known to within (mm)", self.doubt)
        form.addRow(self.hint)
        form.addRow(self.trouble)
        form.addRow(buttons)
        self.known.currentIndexChanged.connect(self._on_known)
        self.length.textEdited.connect(lambda _: self.known.setCurrentIndex(0))
        self.length.setFocus()

    def _chosen(self) -> KnownScale | None:
        wanted = self.known.currentData()
        return next((scale for scale in KNOWN_SCALES if scale.id == wanted), None)

    def _on_known(self) -> None:
        scale = self._chosen()
        if scale is None:
            self.hint.setText("Set both ends on lines of the ruler.")
            return
        self.length.setText(f"{scale.length_mm:.6g} mm")
        self.doubt.setText(f"{scale.u_mm:.2g}")
        self.hint.setText(f"Length between {scale.click}. {scale.source}.")

    def result_scale(self) -> tuple[float, float, str]:
        """Length and standard uncertainty in mm, and the name of a known thing or ''. Raises BadInput."""
        scale = self._chosen()
        if scale is not None:
            return scale.length_mm, scale.u_mm, scale.name
        length = typed_length(self.length.text())
        try:
            doubt = float(self.doubt.text().replace(",", ".") or 0)
        except ValueError:
            raise BadInput(f"'{self.doubt.text()}' is no number of millimetres.") from None
        found = Quantity(length, doubt, "mm")
        # A stage micrometer is ruled far finer than a ruler: its doubt goes down with its length.
        return found.value, min(found.u, 0.01 * length) if length < 5 else found.u, ""

    def accept(self) -> None:
        """Only a length that can be used closes the dialog."""
        try:
            self.result_scale()
        except BadInput as problem:
            self.trouble.setText(problem.reason)
            return
        super().accept()
