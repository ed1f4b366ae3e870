"""A find that is full of secrets: in its fields, its marks, its foray, and inside its picture files."""

from __future__ import annotations

import itertools
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pyexiv2
from PIL import Image

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray, Group, Place
from catalog_gui.domain.photo import Camera, Fix, Photo, Raster, WrittenTime
from catalog_gui.domain.specimen import Determination, Qualifier, Specimen
from catalog_gui.geo.position import Position
from catalog_gui.workflows.ports import Records, Surroundings

SPOT = Position(52.657977, 1.716052)  # check-values A1: TG 51409 13177 by the Helmert recipe
NOON = datetime(2025, 10, 18, 11, 4, 33, tzinfo=UTC)
EVENING = datetime(2025, 10, 18, 19, 15, tzinfo=UTC)

WORDS = {
    "site": "Grimshackle Dell",
    "collector": "Hedda Mossgrave",
    "determiner": "Osric Fennimore",
    "permission": "Lord Thistlewhip",
    "guest": "Petronella Quibb",
    "serial": "SN-99887-XQ",
    "owner": "Ottoline Wraxhall",
    "folder": "grimshackle-secret",
    "file": "Grimshackle_oak_07",
    "maker": "MAKERNOTE-ZIBBLE",
    "comment": "under the split oak of Farmer Dobbleton",
    "county": "Quagshire",
}
"""Every word that no paper for others may carry."""

COUNTRY, PROVINCE = "United Kingdom", "Thistlemark"
"""A hidden place may still say the country; the province goes out with a square, but not with no place."""

WAYS = (
    "52.657977, 1.716052",
    "N52.65798 E1.71605",
    "52°39′28.7″N 1°42′57.8″E",
    "52° 39.479' N, 1° 42.963' E",
    "+52.657977+001.716052/",
    "TG514131",
    "TG 51409 13177",
    "tg5140913177",
    "31U 413157 5834998",
    "31UDU1315734998",
    "geo:52.657977,1.716052",
    "https://maps.example/?q=52.657977,1.716052",
    "651409 313177",
)
"""The spot as people write it, planted in every free field."""

NUMBERS = (
    "52.657", "52.658", "52,657", "52,658", "1.7160", "1.7161", "1,7160",
    "52°39", "52° 39", "52 39 2", "39.479", "42.963", "28.7″", "28.7\"",
    "TG514131", "TG5140", "TG 5140", "tg5140", "5140913177", "51409 13177",
    "413157", "5834998", "1315734998", "651409", "313177",
)  # fmt: skip
"""Pieces of the spot that would give it away, in every notation."""


class Files:
    """Pictures on disk, decoded plainly; the files carry every kind of metadata."""

    def _image(self, photo: Photo) -> Image.Image:
        with Image.open(photo.path) as image:
            return image.convert("RGB")

    def _raster(self, image: Image.Image, scale: float) -> Raster:
        return Raster(image.width, image.height, image.tobytes(), scale)

    def try_again(self, photo: Photo) -> None:
        pass

    def first_look(self, photo: Photo, edge: int) -> Raster | None:
        return None

    def look(self, photo: Photo, edge: int) -> Raster:
        image = self._image(photo)
        before = image.width
        image.thumbnail((edge, edge))
        return self._raster(image, image.width / before)

    def whole(self, photo: Photo, most_pixels: int = 60_000_000) -> Raster:
        return self._raster(self._image(photo), 1.0)

    def piece(self, photo: Photo, box: tuple[float, float, float, float], edge: int) -> Raster:
        image = self._image(photo).crop(tuple(round(side) for side in box))  # type: ignore[arg-type]  # four sides
        image.thumbnail((edge, edge))
        return self._raster(image, 1.0)


def secret_picture(path: Path, seed: int) -> None:
    """A picture whose file tells everything: EXIF with GPS and thumbnail, XMP, IPTC, comment, trailer."""
    grain = np.random.default_rng(seed).integers(0, 255, (60, 80, 3), dtype=np.uint8)
    image = Image.fromarray(grain).resize((800, 600), Image.Resampling.BICUBIC)
    image.save(path, "JPEG", quality=88, comment=WORDS["comment"].encode())
    with pyexiv2.Image(str(path)) as tagged:
        tagged.modify_exif(
            {
                "Exif.Image.Artist": WORDS["owner"],
                "Exif.Photo.BodySerialNumber": WORDS["serial"],
                "Exif.Photo.CameraOwnerName": WORDS["owner"],
                "Exif.Photo.UserComment": WORDS["maker"],
                "Exif.Photo.DateTimeOriginal": "2025:10:18 12:04:33",
                "Exif.GPSInfo.GPSLatitude": "52/1 39/1 287172/10000",
                "Exif.GPSInfo.GPSLatitudeRef": "N",
                "Exif.GPSInfo.GPSLongitude": "1/1 42/1 577872/10000",
                "Exif.GPSInfo.GPSLongitudeRef": "E",
            }
        )
        tagged.modify_xmp({"Xmp.dc.description": f"{WORDS['site']} {WAYS[0]}"})
        tagged.modify_iptc({"Iptc.Application2.City": WORDS["site"]})
        thumb = path.with_suffix(".thumb.jpg")
        Image.fromarray(grain).save(thumb, "JPEG")
        tagged.modify_thumbnail(thumb.read_bytes()) if hasattr(tagged, "modify_thumbnail") else None
        thumb.unlink()
    path.write_bytes(path.read_bytes() + f"trailer {WORDS['owner']} {WAYS[0]}".encode())


def counted() -> Surroundings:
    """A clock that stands and ids that count."""
    count = itertools.count(1)
    return Surroundings(lambda: EVENING, lambda: f"id-{next(count):05d}")


def plant(records: Records, folder: Path, *, finds: int = 3, pictures: int = 2) -> None:
    """Fill the records with finds whose every field tells a secret."""
    secret = folder / WORDS["folder"]
    secret.mkdir(parents=True)
    tell = f"{WORDS['site']} in {WORDS['county']} {' / '.join(WAYS)} {WORDS['collector']}"
    with records.step("Planted") as work:
        work.forays.put(
            Foray(
                "walk",
                f"Walk in {WORDS['site']}",
                WORDS["site"],
                NOON - timedelta(hours=2),
                NOON + timedelta(hours=4),
                "Europe/London",
                (WORDS["collector"], WORDS["guest"]),
                f"granted by {WORDS['permission']}",
                tell,
                country=COUNTRY,
                country_code="GB",
                state_province=PROVINCE,
                county=WORDS["county"],
            )
        )
        for n in range(1, finds + 1):
            key = f"s{n}"
            photos = []
            for p in range(pictures):
                path = secret / f"{WORDS['file']}_{n}_{p}.jpg"
                secret_picture(path, n * 10 + p)
                photos.append(
                    Photo(
                        f"p{n}{p}",
                        str(path),
                        Camera("Quillmark", "Fernlight 3", WORDS["serial"]),
                        WrittenTime("2025:10:18 12:04:33"),
                        Fix(SPOT, 5.0, 12.0),
                        format="JPEG",
                        width=800,
                        height=600,
                        foray_id="walk",
                        group_id=f"g{n}",
                    )
                )
            work.photos.put(*photos)
            work.groups.put(
                Group(
                    f"g{n}",
                    "walk",
                    tuple(p.id for p in photos),
                    NOON,
                    NOON,
                    Place(SPOT, 5.0),
                    specimen_id=key,
                )
            )
            work.specimens.put(
                Specimen(
                    key,
                    f"2025-{n:03d}",
                    "walk",
                    NOON,
                    Place(SPOT, 5.0, "phone"),
                    WORDS["collector"],
                    WORDS["site"],
                    f"oak wood, {tell}",
                    f"soil, {tell}",
                    f"Quercus robur, {tell}",
                    2,
                    f"one old, one young, {tell}",
                    f"damp, {tell}",
                    f"box 7, {tell}",
                    f"granted by {WORDS['permission']}",
                    tell,
                    cover_photo=photos[0].id if photos else "",
                )
            )
            first = Determination(
                f"d{n}a", key, "Amanita citrina", "amanita-citrina", Qualifier.CF, WORDS["determiner"],
                date(2025, 10, 18), f"field marks, {tell}", NOON,
            )  # fmt: skip
            second = Determination(
                f"d{n}b", key, "Amanita phalloides", "amanita-phalloides", Qualifier.CF, WORDS["determiner"],
                date(2025, 10, 19), f"volva, {tell}", EVENING, f"d{n}a",
            )  # fmt: skip
            work.determinations.put(first, second)
            work.evidence.put(
                Evidence(
                    f"e{n}a",
                    key,
                    "whole.form",
                    Standing.SEEN,
                    ("agaric",),
                    note=tell,
                    noted_by=WORDS["guest"],
                ),
                Evidence(f"e{n}b", key, "cap.width", Standing.SEEN, (), 80.0, 95.0, "mm", tell),
                Evidence(f"e{n}c", key, "ring.kind", Standing.NOT_THERE, note=tell),
                Evidence(f"e{n}d", key, "whole.remarks", Standing.SEEN, note=f"seen near {tell}"),
                Evidence(f"e{n}f", key, "smell.kind", Standing.NOT_THERE, note=tell),
                Evidence(f"e{n}e", key, "gills.colour", Standing.SEEN, ("white",), fruit_body=WORDS["guest"]),
            )
            if photos:
                work.marks.put(
                    Mark(f"m{n}a", photos[0].id, MarkKind.CROP, ((50, 50), (700, 500)), part="cap"),
                    Mark(
                        f"m{n}b", photos[0].id, MarkKind.POINTER, ((100, 100), (300, 300)),
                        f"ring, {WORDS['site']} {WAYS[5]}", part="ring",
                    ),
                    Mark(
                        f"m{n}c", photos[0].id, MarkKind.SCALE, ((100, 550), (300, 550)),
                        length_mm=20.0, length_u_mm=0.2,
                    ),
                    Mark(f"m{n}d", photos[0].id, MarkKind.LINE, ((100, 300), (500, 300)), f"cap {WAYS[6]}"),
                )  # fmt: skip
