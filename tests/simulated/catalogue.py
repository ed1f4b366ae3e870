"""A large catalogue, invented and seeded: the ground of the benchmarks."""

from __future__ import annotations

import random
from collections import defaultdict
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

from catalog_gui.catalogue.lexicon import Lexicon
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part, State, Vocabulary
from catalog_gui.domain.foray import Foray, Group, Place
from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime
from catalog_gui.domain.specimen import Determination, Qualifier, Specimen, Task
from catalog_gui.geo.position import Position

START = datetime(2006, 8, 1, 8, tzinfo=UTC)
_COLOURS = ("white", "cream", "ochre", "rust", "olive", "slate", "violet", "pink", "black", "lemon")
_SHAPES = ("sac-like", "rounded", "rooting", "club-shaped", "abrupt", "ridged", "smooth", "hanging")
_PLACES = ("Quillmoor", "Tansy", "Hollow", "Bracken", "Otter", "Larch", "Penny", "Sallow")
_WOODS = ("Wood", "Fen", "Copse", "Hanger", "Carr", "Down")
_PEOPLE = ("Ottilie Fennimore", "Bram Ollerton", "Wilf Tarrant", "Ida Quaife", "Nessa Pym")
_TREES = ("oak", "beech", "birch", "pine", "alder", "hazel", "spruce", "willow")
_WORDS = (
    "honey", "damp", "path", "near", "stream", "found", "many", "young", "old", "slug", "eaten", "smell",
    "mild", "after", "rain", "moss", "edge", "ditch", "stump", "fallen", "log", "grass", "bank", "north",
    "slope", "deep", "litter", "sandy", "clay", "chalk", "photographed", "twice", "uncertain",
)  # fmt: skip
_GENERA = ("Amanita", "Agaricus", "Cortinarius", "Russula", "Mycena", "Inocybe", "Lactarius", "Boletus")
_SYLLABLES = ("al", "bo", "cri", "du", "fo", "la", "mo", "ni", "pru", "ros", "ti", "vel", "xan")


def lexicon() -> Lexicon:
    """About 60 features, 600 states and 800 taxa, a tenth of them hazardous."""
    chance = random.Random(1)
    features, states = [], []
    for part in Part:
        for number in range(4):
            feature = f"{part.value}.thing{number}"
            features.append(Feature(feature, part, f"{part.value} thing {number}"))
            states += [
                State(feature, f"s{n}", f"{colour} {_SHAPES[n % 8]}") for n, colour in enumerate(_COLOURS)
            ]
    names: dict[str, tuple[str, ...]] = {}
    while len(names) < 800:
        name = f"{chance.choice(_GENERA)} {''.join(chance.choices(_SYLLABLES, k=3))}us"
        names[name.casefold().replace(" ", "-")] = (name, f"{name[:-2]}oides", f"{chance.choice(_TREES)} cap")
    hazards = {taxon: chance.choice(("danger", "warning", "caution")) for taxon in list(names)[::10]}
    return Lexicon(Vocabulary(tuple(features), tuple(states)), names, hazards)


def generate(folder: Path, *, specimens: int = 10_000, photos_each: int = 10) -> Catalogue:
    """20 years of forays; 20 pieces of evidence, a determination and a group of photos a specimen."""
    chance = random.Random(20251004)
    words = lexicon()
    catalogue = open_catalogue(folder, now=lambda: START, lexicon=words)
    features = [feature.id for feature in words.vocabulary.features]
    taxa = list(words.names)
    per_foray = 100
    for number in range(specimens // per_foray):
        _one_foray(catalogue, chance, number, per_foray, photos_each, features, taxa, words)
    return catalogue


def _one_foray(
    catalogue: Catalogue,
    chance: random.Random,
    number: int,
    count: int,
    photos_each: int,
    features: list[str],
    taxa: list[str],
    words: Lexicon,
) -> None:
    foray = f"f{number}"
    started = START + timedelta(days=73 * number)
    site = f"{chance.choice(_PLACES)} {chance.choice(_WOODS)}"
    made: dict[str, list[Any]] = defaultdict(list)
    for n in range(count):
        key = f"{number}-{n}"
        at = started + timedelta(minutes=3 * n)
        position = Position(52 + chance.random(), -7 + chance.random())
        names = [f"{key}-{p}" for p in range(photos_each)]
        made["photos"] += [
            Photo(
                name,
                f"/pictures/{started:%Y}/{foray}/IMG_{n * photos_each + p:05}.JPG",
                Camera("Holz", f"H{p % 3}", "123"),
                WrittenTime("raw", (at + timedelta(seconds=7 * p)).replace(tzinfo=None), tag="t"),
                Fix(position, 5.0),
                format="JPEG",
                width=4000,
                height=3000,
                size_bytes=3_000_000 + p,
                quick_key=f"q{name}",
                content_hash=sha256(name.encode()).hexdigest(),
                foray_id=foray,
                group_id=f"g{key}",
            )
            for p, name in enumerate(names)
        ]
        made["groups"].append(Group(f"g{key}", foray, tuple(names), at, at, specimen_id=key))
        made["specimens"].append(
            Specimen(
                key,
                f"{started:%y}-{number:03}-{n:03}",
                foray_id=foray,
                collected_at=at,
                place=Place(position, 6.0),
                collector=chance.choice(_PEOPLE),
                habitat=f"under {chance.choice(_TREES)} and {chance.choice(_TREES)}",
                note=" ".join(chance.choices(_WORDS, k=15)),
            )
        )
        made["evidence"] += [
            Evidence(
                f"{key}-{feature}",
                key,
                feature,
                chance.choice(tuple(Standing)),
                (f"s{chance.randrange(10)}",),
                note=chance.choice(_WORDS),
            )
            for feature in chance.sample(features, 20)
        ]
        if chance.random() < 0.9:
            taxon = chance.choice(taxa)
            qualifier = chance.choice(tuple(Qualifier))
            made["determinations"].append(
                Determination(f"d{key}", key, words.names[taxon][0], taxon, qualifier)
            )
        done = at if n % 20 else None
        made["tasks"].append(Task(f"t{key}", key, "print", "Take the print", due=at, done_at=done))
    with catalogue.step(f"Foray {number}") as work:
        work.forays.put(Foray(foray, f"Foray {number}", site, started, time_zone="Europe/Dublin"))
        for shelf, values in made.items():
            getattr(work, shelf).put(*values)
