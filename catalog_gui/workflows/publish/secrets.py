"""The words that may not stand anywhere on a paper for its reader."""

from __future__ import annotations

from catalog_gui.domain.privacy import Reader, Secrets, secrets
from catalog_gui.domain.region import region_of
from catalog_gui.domain.sheet import Precision
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.places import precision_of, region_for


def secrets_of(found: Gathered, reader: Reader, person: str = "") -> Secrets:
    """The words that may not stand anywhere on a paper for this reader.

    Paths and serial numbers never; people's names, the site and written places only where the user said so.
    """
    specimen, foray = found.specimen, found.foray
    exact = precision_of(found, reader) is Precision.EXACT
    words = [photo.camera.serial for photo in found.photos]
    for photo in found.photos:
        words.extend((photo.path, photo.path.replace("\\", "/").rpartition("/")[0]))
    if not reader.names:
        words += [person, specimen.collector, specimen.permission]
        words += [one.determined_by for one in found.names] + [row.noted_by for row in found.evidence]
        if foray is not None:
            words += [*foray.people, foray.permission]
    if not exact and not reader.site:
        words.append(specimen.site)
        if foray is not None:
            words += [foray.site, *([foray.title] if len(foray.title.split()) > 1 else [])]
    whole, given = region_of(specimen, foray), region_for(found, reader)
    words += {whole.state_province, whole.county} - {given.country, given.state_province, given.county}
    return secrets(words, places=not exact)
