"""What is true about the demo foray, as tables: every picture, every specimen's features, every clock."""

from __future__ import annotations

from demo_data import features
from demo_data.foray import CAMERAS, NUMBER, START, shots

BUILDS = {
    "S01": ("Amanita virosa", "amanita-virosa"),
    "S02": ("Amanita virosa", "amanita-virosa"),
    "S03": ("Agaricus sylvicola", "agaricus-sylvicola"),
    "S04": ("Galerina marginata", "galerina-marginata"),
    "S05": ("Kuehneromyces mutabilis", "kuehneromyces-mutabilis"),
    "S06": ("Cantharellus cibarius", "cantharellus-cibarius"),
    "S07": ("Hygrophoropsis aurantiaca", "hygrophoropsis-aurantiaca"),
    "S08": ("Omphalotus illudens", "omphalotus-illudens"),
    "S09": ("Boletus edulis", "boletus-edulis"),
    "S10": ("Fomitopsis pinicola", ""),
    "S11": ("Amanita sp., egg", ""),
    "S12": ("Russula nobilis", "russula-nobilis"),
    "S13": ("Amanita muscaria", "amanita-muscaria"),
    "S14": ("Laccaria amethystina", "laccaria-amethystina"),
}


def tables() -> dict[str, list[tuple[object, ...]]]:
    """File name to rows, the first row being the header."""
    rows: list[tuple[object, ...]] = [
        (
            "path",
            "specimen",
            "kind",
            "part",
            "true_utc",
            "true_lat",
            "true_lon",
            "camera",
            "written_local",
            "fix",
            "same_specimen_as",
        )
    ]
    rows += [
        (
            s.path,
            s.specimen,
            s.kind,
            s.part,
            s.true.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
            f"{s.lat:.7f}",
            f"{s.lon:.7f}",
            s.camera,
            s.written.isoformat(timespec="milliseconds"),
            s.fix_kind,
            s.same_as,
        )
        for s in shots()
    ]
    clocks: list[tuple[object, ...]] = [
        ("camera", "make", "model", "serial", "at_utc", "offset_s", "drift_s_per_h", "zone_tag", "gps")
    ]
    clocks += [
        (
            c.key,
            c.make,
            c.model,
            c.serial or "",
            START.isoformat().replace("+00:00", "Z"),
            c.offset_s,
            c.drift_s_per_h,
            int(c.zone_tag),
            int(c.gps),
        )
        for c in CAMERAS.values()
    ]
    specimens: list[tuple[object, ...]] = [("specimen", "number", "drawn_after", "taxon", "pictures")]
    for key, (name, taxon) in BUILDS.items():
        specimens.append((key, NUMBER[key], name, taxon, sum(s.specimen == key for s in shots())))
    seen: list[tuple[object, ...]] = [
        ("specimen", "feature", "standing", "states", "value", "unit"),
        *features.rows(),
    ]
    return {
        "truth.csv": rows,
        "truth_clocks.csv": clocks,
        "truth_specimens.csv": specimens,
        "truth_features.csv": seen,
    }
