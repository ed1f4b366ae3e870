"""Ids of groups, joins, clocks and links: they last when photos are added, and never take one that is held."""

from __future__ import annotations

from catalog_gui.grouping import Held, propose
from catalog_gui.workflows.named_proposal import named_clocks, named_groups, named_joins, named_links
from tests.grouping.walks import photo, stop_times, walk


def test_group_ids_last_when_pictures_are_added() -> None:
    early = named_groups(propose(walk(6)).groups)
    late = named_groups(propose([*walk(6), photo("z", 5000.0, at=(900.0, 0.0))]).groups)
    assert [g.id for g in late][: len(early)] == [g.id for g in early]


def test_a_new_group_never_takes_a_held_groups_id() -> None:
    photos = walk(3)
    held = Held(groups={f"group-{photos[0].id}": (photos[6].id,)})
    groups = named_groups(propose(photos, held=held).groups, "f", held.groups)
    ids = [group.id for group in groups]
    assert len(ids) == len(set(ids))
    assert [group.id for group in groups if group.held] == list(held.groups)


def test_joins_and_clocks_are_called_after_photos_and_cameras() -> None:
    proposal = propose(walk(2))
    joins, clocks = named_joins(proposal.joins, "f"), named_clocks(proposal.clocks, "f")
    assert [j.id for j in joins] == [f"{j.before}|{j.after}" for j in proposal.joins]
    assert [(c.id, c.foray_id) for c in clocks] == [(f"f|{c.camera_key}", "f") for c in proposal.clocks]


def test_a_link_names_the_groups_of_its_pair() -> None:
    again = [photo(f"r{n}", stop_times(8)[-1] + 2400 + s, at=(80.0, 1.0)) for n, s in enumerate((0, 8, 15))]
    proposal = propose(walk(8) + again)
    groups = named_groups(proposal.groups, "f")
    links = named_links(proposal.revisits, groups, "f")
    assert links
    for link, revisit in zip(links, proposal.revisits, strict=True):
        assert link.group == groups[revisit.later].id
        assert link.earlier_group == groups[revisit.earlier].id
        assert link.id == f"{link.group}|{link.earlier_group}"
        assert link.accepted is None
