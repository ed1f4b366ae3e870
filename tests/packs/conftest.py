"""A small, whole pack to write down, break and read."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest

Tables = dict[str, list[list[str]]]
WritePack = Callable[..., Path]

HEADERS = {
    "sources": "source,citation,kind,year,seen",
    "features": "feature,part,name,gloss,kind,unit,fragility,when_to_look,how_to_look,view,forms,cost,figure"
    ",absent_name,needs,kin",
    "states": "feature,state,name,gloss,figure,hex",
    "taxa": "taxon,name,authority,rank,genus,section,english,forms,group,note,source",
    "synonyms": "taxon,name,authority,note,source",
    "taxon_states": "taxon,feature,state,frequency,source,note",
    "taxon_sizes": "taxon,feature,low,high,extreme_low,extreme_high,unit,source,note",
    "syndromes": "syndrome,name,what_happens,source",
    "hazards": "taxon,syndrome,toxin,severity,onset_low,onset_high,onset_unit,onset_counts,misleads,source,note",
    "confusions": "taxon,lookalike,separates,does_not_separate,note,source",
}

ROWS = {
    "sources": ["flora,An invented flora,book,1900,no"],
    "features": [
        "cap.colour,cap,cap colour,,states,,1,,,cap-top,all,picture,,,,",
        "ring.kind,ring,ring,,states,,2,,,side,agaric,picture,,no ring seen,,veil",
        "cap.width,cap,cap width,,number,mm,0,,,scale,all,picture,,,,",
    ],
    "states": [
        "cap.colour,white,white,,,#ffffff",
        "cap.colour,brown,brown,,,#7a4a20",
        "ring.kind,skirt,hanging skirt,,,",
    ],
    "taxa": [
        "alba,Testia alba,Author,species,Testia,Albae,White one,agaric,testers,,flora",
        "fusca,Testia fusca,(Author) Other,species,Testia,,Brown one,agaric,testers,,flora",
    ],
    "synonyms": ["alba,Agaricus albus,Author,basionym,flora"],
    "taxon_states": [
        "alba,cap.colour,white,usually,flora,",
        "alba,ring.kind,skirt,usually,flora,",
        "fusca,cap.colour,brown,always,flora,",
        "fusca,ring.kind,absent,always,flora,",
    ],
    "taxon_sizes": ["alba,cap.width,50,100,40,120,mm,flora,"],
    "syndromes": ["1A,liver damage,,flora"],
    "hazards": ["alba,1A,poison,fatal,6,24,h,first gut trouble,,flora,"],
    "confusions": ["alba,fusca,cap.colour,ring.kind,,flora"],
}


@pytest.fixture
def small_pack() -> Tables:
    """The tables of a whole pack: header and rows as lists of cells."""
    return {name: [_cells(HEADERS[name]), *map(_cells, rows)] for name, rows in ROWS.items()}


@pytest.fixture
def write_pack(tmp_path: Path) -> WritePack:
    """Write tables into a folder and return it."""

    def write(tables: Tables, name: str = "pack") -> Path:
        folder = tmp_path / name
        folder.mkdir()
        for table, rows in tables.items():
            with (folder / f"{table}.csv").open("w", encoding="utf-8", newline="") as file:
                csv.writer(file, lineterminator="\n").writerows(rows)
        return folder

    return write


def _cells(line: str) -> list[str]:
    return next(csv.reader(io.StringIO(line)))
