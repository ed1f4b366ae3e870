"""What form a fruit body has, as far as the records imply it; and which taxa are of other forms.

Whoever saw free white gills has said that there are gills, and so what form it is, though 'overall form' was
never entered. This only decides what is listed by name and what is folded into one line. It is no witness:
for the exclusion of a dangerous taxon form and underside count as what they are.
"""

from __future__ import annotations

from collections.abc import Iterable

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Fragility, Part
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference, Taxon

FORM = roles.FORM
UNDERSIDE = roles.UNDERSIDE

_NEAR = (
    frozenset({"agaric", "fold-bearing"}),  # folds are read as gills and the other way round
    frozenset({"fold-bearing", "toothed"}),
    frozenset({"ball", "egg"}),  # an egg of Amanita is a ball until it is cut
    frozenset({"egg", "phalloid"}),
    frozenset({"ball", "star"}),
    frozenset({"saddle", "honeycomb"}),
    frozenset({"saddle", "cup"}),
    frozenset({"club", "coral"}),
    frozenset({"cup", "jelly"}),
    frozenset({"bracket", "crust"}),
)
"""Forms that careful people take for each other (common teaching, no source)."""


def implied_forms(
    evidence: Iterable[Evidence],
    reference: Reference,
    *,
    struck_out: Iterable[Evidence] = (),
    fruit_body: str | None = None,
) -> frozenset[str]:
    """The forms that fit all firm records, once form and underside are both known; empty while they are not.

    Form and underside are known by their own records or by what others imply: the gills' attachment and
    colour tell of gills. Two firm records at least, one of them of the underside. A doubted or damaged form
    or underside leaves all open, and so do records that no one form fits. A record that was struck out
    still speaks for its own forms. Records of one fruit body of a mixed collection imply nothing for the
    next: without `fruit_body` only those of the whole collection are read.
    """
    mine = [e for e in evidence if e.fruit_body in {"", fruit_body or ""}]
    for one in mine:
        doubted = not one.sure or one.standing is Standing.GONE
        if one.feature in {FORM, UNDERSIDE} and doubted and one.standing is not Standing.NOT_LOOKED_AT:
            return frozenset()
    told = {e.feature: forms for e in mine if (forms := _forms_of(e, reference))}
    vocabulary = reference.vocabulary
    under = [f for f in told if (known := vocabulary.feature(f)) is not None and known.part is Part.GILLS]
    if len(told) < 2 or not under:
        return frozenset()
    fitting = frozenset.intersection(*told.values())
    if not fitting:
        return frozenset()
    gone = [_forms_of(e, reference) for e in struck_out if e.fruit_body in {"", fruit_body or ""}]
    return fitting.union(*(forms for forms in gone if not forms & fitting))


def of_other_form(taxon: Taxon, forms: frozenset[str], reference: Reference) -> bool:
    """Whether a taxon is of another form than `forms`, a form near them, and nothing of them is taken for it.

    A taxon of no known form is not. A documented confusion with a taxon of these forms keeps it where it is.
    """
    if not forms or not taxon.forms:
        return False
    near = forms.union(*(pair for pair in _NEAR if pair & forms))
    if near & set(taxon.forms):
        return False
    others = (reference.taxon(pair.lookalike) for pair in reference.confusions_of(taxon.id))
    return not any(other is not None and set(other.forms) & forms for other in others)


def _forms_of(one: Evidence, reference: Reference) -> frozenset[str]:
    """The forms that one firm record fits; empty where it says nothing of the form."""
    feature = reference.vocabulary.feature(one.feature)
    if feature is None or not one.sure or one.standing in {Standing.NOT_LOOKED_AT, Standing.GONE}:
        return frozenset()
    if one.feature == FORM:
        return frozenset(one.states) if one.standing is Standing.SEEN else frozenset()
    if one.feature == UNDERSIDE:
        if one.standing is Standing.NOT_THERE and feature.fragility is not Fragility.STAYS:
            return frozenset()
        states = set(one.states) if one.standing is Standing.SEEN else {ABSENT}
        return frozenset(
            form
            for taxon in reference.taxa
            for row in reference.states_of(taxon.id, UNDERSIDE)
            if row.state in states and row.frequency is not Frequency.NEVER
            for form in taxon.forms
        )
    return frozenset(feature.forms) if one.standing is Standing.SEEN else frozenset()
