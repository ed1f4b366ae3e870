"""Published descriptions of collections, coded blind: no danger among them is lost.

The half that constants were fitted on is looked at here; the benchmark reports on the other.
"""

from __future__ import annotations

import numpy as np
import pytest

from catalog_gui.lookalikes import Reference
from catalog_gui.lookalikes.observations import observations_of
from catalog_gui.lookalikes.reference import Severity
from tests.lookalikes.descriptions.build import half, pages_of_the_pack, plain
from tests.lookalikes.descriptions.published import Published, published, spoilt
from tests.lookalikes.ready import ready


@pytest.fixture(scope="module")
def pages(ours: Reference) -> list[Published]:
    return published(ours, "fit")


def test_there_are_many_and_the_pack_uses_none_of_them(ours: Reference, pages: list[Published]) -> None:
    found = [*pages, *published(ours, "report")]
    used = pages_of_the_pack()
    assert len(found) >= 80
    assert not [page.page for page in found if plain(page.page) in used]
    assert {half(page.page) for page in pages} == {"fit"}
    assert 0.35 < len(pages) / len(found) < 0.65


@pytest.mark.parametrize(("first", "instruments"), [(None, True), (None, False), (8, False)])
def test_no_danger_is_lost(
    ours: Reference, pages: list[Published], first: int | None, instruments: bool
) -> None:
    """With everything, from field records, and from the first eight of them."""
    place = {taxon: i for i, taxon in enumerate(ours.dangerous)}
    prepared = ready(ours)
    for page in pages:
        if page.taxon in place:
            evidence = (page.evidence if instruments else page.field(ours))[:first]
            judged = prepared.exclusion.judge(observations_of(evidence, prepared.table))
            assert not judged.excluded[place[page.taxon]], (page.taxon, page.page)


def test_wrong_records_lose_next_to_none(ours: Reference, pages: list[Published]) -> None:
    """A fifth of the records made wrong: at most 2 in 100 are lost, and nothing that can kill."""
    place = {taxon: i for i, taxon in enumerate(ours.dangerous)}
    prepared, rng = ready(ours), np.random.default_rng(7)
    dangerous = [page for page in pages if page.taxon in place]
    lost: list[str] = []
    for page in dangerous:
        for _ in range(4):
            records = observations_of(spoilt(page.field(ours), ours, 0.2, rng), prepared.table)
            if prepared.exclusion.judge(records).excluded[place[page.taxon]]:
                lost.append(page.taxon)
    assert len(lost) <= 2 * len(dangerous) * 4 / 100, lost
    assert not [taxon for taxon in lost if ours.severity_of(taxon) is Severity.FATAL]


def test_a_page_excludes_most_of_what_it_is_not(ours: Reference, pages: list[Published]) -> None:
    """From field records: so that the safety above is not bought by excluding nothing."""
    prepared = ready(ours)
    stands = [
        (~prepared.exclusion.judge(observations_of(page.field(ours), prepared.table)).excluded).mean()
        for page in pages
    ]
    assert np.mean(stands) < 0.35
