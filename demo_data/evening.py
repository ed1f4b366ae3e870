"""What is already done when the demo opens: some finds sorted and described, the rest left to do.

`python -m demo_data.evening` writes `evening.json` from the truth tables. The program reads it once, after
it has taken the demo's pictures in. Points are fractions of the upright picture.
"""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
DONE = ("S01", "S03", "S06", "S09", "S13")
BEGUN = ("S02", "S04")
PARTS = (
    ("cap from above", "cap"),
    ("underside square on", "gills"),
    ("gill attachment", "gills"),
    ("side view", "stem"),
    ("base dug out", "base"),
    ("base of the stem", "base"),
    ("lengthwise section", "flesh"),
    ("spore print", "print"),
    ("whole fruit body in place", "place"),
)
NAMES: dict[str, list[dict[str, str]]] = {
    "S01": [
        {"name": "Agaricus sp.", "qualifier": "sp.", "by": "Pell Underbrack", "basis": "the cap alone, from afar"},
        {
            "name": "Amanita virosa",
            "taxon": "amanita-virosa",
            "qualifier": "cf.",
            "by": "Ottilie Marrowgate",
            "basis": "sac-like volva, white gills and print",
        },
    ],
    "S03": [
        {"name": "Agaricus sylvicola", "taxon": "agaricus-sylvicola", "by": "Ottilie Marrowgate",
         "basis": "gills, print, smell"},
    ],
    "S06": [
        {"name": "Cantharellus cibarius", "taxon": "cantharellus-cibarius", "by": "Pell Underbrack",
         "basis": "folds, smell"},
    ],
    "S09": [
        {"name": "Boletus edulis", "taxon": "boletus-edulis", "qualifier": "agg.", "by": "Corwin Thistlewade",
         "basis": "net on the stem"},
    ],
    "S13": [
        {"name": "Amanita muscaria", "taxon": "amanita-muscaria", "by": "Corwin Thistlewade",
         "basis": "cap, belts of warts at the base"},
    ],
}  # fmt: skip
FIELDS = {
    "habitat": "beech wood on a slope",
    "collector": "Ottilie Marrowgate",
    "site": "Hobbin Shaw",
}
MARKS: list[dict[str, Any]] = [
    {"find": "S01", "part": "base dug out", "of": "base", "kind": "pointer", "label": "sac-like volva",
     "feature": "base.volva", "state": "sac", "points": [[0.78, 0.42], [0.545, 0.56]]},
    {"find": "S01", "part": "underside square on", "of": "gills", "kind": "pointer", "label": "free, white",
     "feature": "gills.attachment", "state": "free", "points": [[0.16, 0.75], [0.42, 0.34]]},
    {"find": "S13", "part": "base of the stem", "of": "base", "kind": "pointer", "label": "belts of warts",
     "feature": "base.volva", "points": [[0.2, 0.2], [0.36, 0.5]]},
    {"find": "S03", "kind_of_picture": "bench", "part": "lengthwise section", "of": "flesh", "kind": "scale",
     "label": "100 mm", "length_mm": 100.0, "points": [[0.919, 0.886], [0.9, 0.269]]},
    {"find": "S03", "kind_of_picture": "bench", "part": "lengthwise section", "of": "flesh", "kind": "line",
     "label": "cap", "feature": "cap.width", "points": [[0.265, 0.31], [0.69, 0.236]]},
]  # fmt: skip


def table(name: str) -> list[dict[str, str]]:
    """The rows of one truth table."""
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def evening() -> dict[str, Any]:
    """Everything that stands when the demo opens."""
    shots = table("truth.csv")
    features = table("truth_features.csv")
    finds = [_find(key, shots, features) for key in (*DONE, *BEGUN)]
    aside = [row["path"] for row in shots if not row["specimen"]]
    return {
        "title": "Autumn walk in Hobbin Shaw",
        "site": "Hobbin Shaw",
        "people": ["Ottilie Marrowgate", "Pell Underbrack", "Corwin Thistlewade"],
        "permission": "By word of the estate office, invented; no picking for the pot.",
        "finds": finds,
        "aside": aside,
    }


def _find(key: str, shots: list[dict[str, str]], features: list[dict[str, str]]) -> dict[str, Any]:
    mine = [row for row in shots if row["specimen"] == key]
    crops: dict[str, str] = {}
    for start, part in PARTS:
        for row in mine:
            if row["part"].startswith(start):
                crops.setdefault(part, row["path"])
                break
    return {
        "key": key,
        "photos": [row["path"] for row in mine],
        "fields": FIELDS,
        "names": NAMES.get(key, []),
        "crops": crops,
        "evidence": [
            {
                "feature": row["feature"],
                "standing": row["standing"],
                "states": [state for state in row["states"].split("|") if state],
                "value": row["value"],
                "unit": row["unit"],
            }
            for row in features
            if row["specimen"] == key and row["standing"] != "not looked at"
        ],
        "marks": [
            {**{name: value for name, value in mark.items() if name not in ("find", "part", "kind_of_picture")},
             "photo": _shot(mine, mark)}
            for mark in MARKS
            if mark["find"] == key
        ],
    }  # fmt: skip


def _shot(mine: list[dict[str, str]], mark: dict[str, Any]) -> str:
    wanted = mark.get("kind_of_picture", "specimen")
    return next(row["path"] for row in mine if row["part"].startswith(mark["part"]) and row["kind"] == wanted)


def main() -> None:
    """Write the file."""
    text = json.dumps(evening(), ensure_ascii=False, indent=1) + "\n"
    (HERE / "evening.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
