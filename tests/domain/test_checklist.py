"""The checklist adapts; what is gone soon has a time. The order for an Amanita-like find is common practice."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from catalog_gui import assets
from catalog_gui.domain.checklist import checklist, likeness_of
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.packs.reader import read_packs

REFERENCE = read_packs(assets.reference_pack())
PICKED = datetime(2025, 10, 18, 9, 0, tzinfo=UTC)
FIND = Specimen("s", "2025-001", collected_at=PICKED)


def seen(feature: str, *states: str, standing: Standing = Standing.SEEN) -> Evidence:
    return Evidence(feature, "s", feature, standing, states)


def listed(*rows: Evidence, name: str = "", tasks: tuple[Task, ...] = ()):  # type: ignore[no-untyped-def]
    return checklist(
        REFERENCE.vocabulary,
        rows,
        specimen=FIND,
        name=name,
        tasks=tasks,
        needs=REFERENCE.ties.needs,
        kin=REFERENCE.ties.kin,
    )


def test_the_form_is_asked_first_while_it_is_not_known() -> None:
    asked = listed()
    assert asked.by_part[0].feature.id == "whole.form"
    assert asked.allowed == {f.id for f in REFERENCE.vocabulary.features}


def test_only_features_of_the_known_form_are_left() -> None:
    bolete = listed(seen("whole.form", "bolete"))
    assert "gills.pore-bruise" in bolete.allowed
    assert "gills.attachment" in bolete.allowed or "gills.pore-colour" in bolete.allowed
    assert "base.volva" not in bolete.allowed
    ball = listed(seen("whole.form", "ball"))
    assert "flesh.inside" in ball.allowed
    assert "ring.kind" not in ball.allowed


def test_an_amanita_like_find_asks_base_volva_ring_and_attachment_first() -> None:
    for rows, name in (
        ((seen("whole.form", "agaric"), seen("cap.patches", "flakes")), ""),
        ((seen("whole.form", "agaric"), seen("gills.attachment", "free")), ""),
        ((seen("whole.form", "agaric"),), "Amanita cf. citrina"),
        ((seen("whole.form", "egg"),), ""),
    ):
        asked = listed(*rows, name=name)
        assert asked.likeness == "Amanita-like"
        order = [one.feature.id for one in asked.by_part]
        early = order[1:8]
        for feature in ("base.volva", "base.shape", "ring.kind", "gills.attachment"):
            if feature not in {row.feature for row in rows}:
                assert feature in early, (feature, early)


def test_a_feature_that_needs_an_absent_one_is_not_asked() -> None:
    gone = listed(seen("whole.form", "agaric"), seen("ring.kind", standing=Standing.NOT_THERE))
    assert "ring.position" not in gone.allowed
    damaged = listed(seen("whole.form", "agaric"), seen("ring.kind", standing=Standing.GONE))
    assert "ring.position" in damaged.allowed, "a damaged ring is no absent ring"


def test_what_fades_first_stands_first_with_its_time() -> None:
    asked = listed(seen("whole.form", "agaric"))
    dues = [one.due for one in asked.by_haste if one.due is not None]
    assert dues == sorted(dues)
    first = asked.by_haste[0]
    assert first.due == PICKED + timedelta(hours=2), "ring and veil: two hours, house notes, section 4"
    smell = next(one for one in asked.by_haste if one.feature.id == "smell.kind")
    assert smell.due == PICKED + timedelta(hours=4)
    stays = next(one for one in asked.by_haste if one.feature.id == "cap.width")
    assert stays.due is None


def test_an_edited_task_moves_the_time_of_its_features() -> None:
    later = PICKED + timedelta(hours=7)
    asked = listed(tasks=(Task("t", "s", "smell", "Smell it", due=later),))
    assert next(one for one in asked.by_part if one.feature.id == "smell.kind").due == later
    done = listed(tasks=(Task("t", "s", "smell", "Smell it", due=later, done_at=PICKED),))
    assert next(one for one in done.by_part if one.feature.id == "smell.kind").due is None


def test_likeness_goes_by_a_given_name_before_looks() -> None:
    rows = (seen("whole.form", "agaric"), seen("cap.patches", "flakes"))
    assert likeness_of(rows, "Russula emetica") != likeness_of(rows)
    assert likeness_of((), "") is None
    assert likeness_of((seen("whole.form", "ball"),)) is None


def test_progress_counts_what_can_be_looked_at_in_the_field() -> None:
    asked = listed(seen("whole.form", "agaric"))
    noted, wanted = asked.progress(["whole.form", "micro.spore-length"])
    assert noted == 1
    assert wanted < len(asked.by_part)
