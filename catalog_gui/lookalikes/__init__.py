"""Evidence held against the reference: candidates, hazards not excluded, next checks.

Front door: `prepare` a reference once, then `weigh`. The reference itself is in `reference`, JSON in
`interchange`, when a dangerous taxon may be called excluded in `exclusion`.
"""

from catalog_gui.lookalikes.prepared import PreparedReference, prepare
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.lookalikes.weighing import Candidate, NotExcluded, Weighing, weigh

__all__ = ["Candidate", "NotExcluded", "PreparedReference", "Reference", "Weighing", "prepare", "weigh"]
