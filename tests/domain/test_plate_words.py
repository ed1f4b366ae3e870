"""An empty panel says what its absence costs."""

from __future__ import annotations

from catalog_gui import assets
from catalog_gui.domain.feature import Part
from catalog_gui.domain.plate_words import LabelWeight, missing_words
from catalog_gui.packs.reader import read_packs

REFERENCE = read_packs(assets.reference_pack())
ABSENT = REFERENCE.ties.absent_names or {}
GRAVE = {
    "base.volva": LabelWeight(40, 60),
    "ring.kind": LabelWeight(20, 50),
    "gills.attachment": LabelWeight(9, 20),
}


def words(part: Part, **known: object) -> str:
    return missing_words(part, REFERENCE.vocabulary, absent_names=ABSENT, weights=GRAVE, **known)  # type: ignore[arg-type]


def test_a_missing_base_leaves_the_volva_open() -> None:
    assert words(Part.BASE) == "No picture of the base: a volva can’t be ruled out."


def test_what_always_has_a_state_cannot_be_told() -> None:
    assert words(Part.GILLS).startswith("No picture of the underside: gill attachment and ")
    assert words(Part.GILLS).endswith(" can’t be told.")


def test_what_is_written_without_a_picture_cannot_be_checked() -> None:
    assert words(Part.BASE, recorded=["base.volva"]) == (
        "No picture of the base: nobody else can check the volva."
    )


def test_a_form_without_the_feature_is_not_reproached_with_it() -> None:
    bolete = [f.id for f in REFERENCE.vocabulary.for_form("bolete")]
    assert "volva" not in words(Part.BASE, allowed=bolete)


def test_every_part_has_words() -> None:
    for part in Part:
        assert words(part).startswith("No picture of ")
        assert words(part).endswith(".")
