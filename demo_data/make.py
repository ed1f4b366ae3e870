"""Remakes the demo foray: pictures with EXIF, the track, the truth tables.

python -m demo_data.make                    everything, byte for byte the same on one machine
python -m demo_data.make --only S01 --width 800 --into /tmp/look   some pictures, small, elsewhere
python -m demo_data.make --tables           truth tables and track only
python -m demo_data.make --contact sheet.png   a contact sheet of what stands there
"""

from __future__ import annotations

import argparse
import csv
import io
import os
import time
from concurrent.futures import ProcessPoolExecutor
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import numpy as np  # noqa: E402 - thread counts are read when numpy is first imported
from PIL import Image, ImageDraw, ImageFont  # noqa: E402

from demo_data import scenes, truth  # noqa: E402
from demo_data.exif import ASCII, BYTE, LONG, RATIONAL, SHORT, SRATIONAL, UNDEFINED, Field, block  # noqa: E402
from demo_data.foray import CAMERAS, NUMBER, Shot, shots, track  # noqa: E402
from demo_data.renderer import foliage, lens, march, props  # noqa: E402

HERE = Path(__file__).parent
WIDTH = 1600
QUALITY = 84


def picture(shot: Shot, width: int) -> np.ndarray:
    """The upright 8-bit picture of one shot; width is the longer side in pixels."""
    w, h = (width * 3 // 4, width) if shot.portrait else (width, width * 3 // 4)
    name, _, variant = shot.view.partition(".")
    if name == "micro":
        if variant == "S04":
            return props.micrograph(w, h, 901, 9.0, 5.6, "9a6a33", 1.0, "OM 64  gill edge, water, x1000")
        return props.micrograph(w, h, 902, 9.4, 8.8, "cfd3bc", 0.0, "OM 61  in water, x1000", "d9dfcb")
    if shot.kind == "bench":
        scene, camera, exposure = scenes.bench(name, variant)
    elif shot.kind in ("people", "habitat", "sign"):
        scene, camera, exposure = scenes.other(name, int(variant or 0))
    else:
        scene, camera, exposure = scenes.shot(
            shot.specimen, name, shot.azimuth, NUMBER[shot.specimen], shot.portrait
        )
    rgb, depth = march.photograph(scene, camera, w, h)
    if scene.flecks is not None and scene.fog is not None:
        foliage.scatter(rgb, depth, camera, scene.flecks, scene.fog)
    tone = {
        "aldermoor": (1.0, 0.012, 0.004),
        "tarnwick": (1.06, 0.03, 0.010),
        "fernlight": (1.04, -0.015, 0.008),
    }
    brighter, warm, grain = tone.get(shot.camera, (1.0, 0.0, 0.006))
    return lens.develop(lens.focus(rgb, depth, camera), shot.seed, exposure * brighter, warm, grain)


def _degrees(value: float) -> tuple[Fraction, Fraction, Fraction]:
    value = abs(value)
    d = int(value)
    m = int((value - d) * 60)
    return Fraction(d), Fraction(m), Fraction(round((value - d - m / 60) * 3600 * 10000), 10000)


def exif_of(shot: Shot, width: int, height: int, preview: bytes | None) -> bytes:
    """The EXIF block this camera writes for this shot."""
    c = CAMERAS[shot.camera]
    stamp = f"{shot.written:%Y:%m:%d %H:%M:%S}"
    main = [
        Field(0x010F, ASCII, c.make),
        Field(0x0110, ASCII, c.model),
        Field(0x0112, SHORT, 6 if shot.portrait else 1),
        Field(0x011A, RATIONAL, Fraction(72)),
        Field(0x011B, RATIONAL, Fraction(72)),
        Field(0x0128, SHORT, 2),
        Field(0x0131, ASCII, c.software),
        Field(0x0132, ASCII, stamp),
        Field(0x0213, SHORT, 1),
    ]
    rng = np.random.default_rng(shot.seed)
    speed = Fraction(1, int(rng.choice([30, 40, 50, 60, 80, 100, 125])))
    focal, wide, stop = c.lens
    exif = [
        Field(0x829A, RATIONAL, speed),
        Field(0x829D, RATIONAL, Fraction(stop).limit_denominator(10)),
        Field(0x8822, SHORT, 2),
        Field(0x8827, SHORT, int(rng.choice([100, 125, 200, 320, 400]))),
        Field(0x9000, UNDEFINED, b"0232"),
        Field(0x9003, ASCII, stamp),
        Field(0x9004, ASCII, stamp),
        Field(0x9101, UNDEFINED, b"\1\2\3\0"),
        Field(0x9204, SRATIONAL, Fraction(0)),
        Field(0x9207, SHORT, 5),
        Field(0x9209, SHORT, 16),
        Field(0x920A, RATIONAL, Fraction(focal).limit_denominator(10)),
        Field(0xA000, UNDEFINED, b"0100"),
        Field(0xA001, SHORT, 1),
        Field(0xA002, LONG, width),
        Field(0xA003, LONG, height),
        Field(0xA402, SHORT, 0),
        Field(0xA403, SHORT, 0),
        Field(0xA405, SHORT, int(wide)),
    ]
    if c.zone_tag:
        exif += [Field(tag, ASCII, "+01:00") for tag in (0x9010, 0x9011, 0x9012)]
    if c.subseconds:
        exif += [
            Field(tag, ASCII, f"{shot.written.microsecond // 1000:03d}") for tag in (0x9290, 0x9291, 0x9292)
        ]
    if c.serial:
        exif += [Field(0xA431, ASCII, c.serial), Field(0xA434, ASCII, "AM 60mm F4 Close")]
    gps = None
    if shot.fix is not None:
        lat, lon, error, at = shot.fix
        gps = [
            Field(0, BYTE, bytes((2, 3, 0, 0))),
            Field(1, ASCII, "S" if lat < 0 else "N"),
            Field(2, RATIONAL, _degrees(lat)),
            Field(3, ASCII, "W" if lon < 0 else "E"),
            Field(4, RATIONAL, _degrees(lon)),
            Field(5, BYTE, bytes((0,))),
            Field(
                6,
                RATIONAL,
                Fraction(0)
                if shot.fix_kind == "zero"
                else Fraction(max(round(1040 + 0.4 * shot.north), 610), 10),
            ),
            Field(7, RATIONAL, (Fraction(at.hour), Fraction(at.minute), Fraction(at.second))),
            Field(18, ASCII, "WGS-84"),
            Field(29, ASCII, f"{at:%Y:%m:%d}"),
        ]
        if c.reports_error:
            gps.append(Field(31, RATIONAL, Fraction(round(error * 10), 10)))
    return block(main, exif, gps, preview)


def write(shot: Shot, into: Path, width: int) -> str:
    """Render, develop and save one shot; says what was done."""
    began = time.perf_counter()
    image = Image.fromarray(picture(shot, width))
    small = image.copy()
    small.thumbnail((160, 160), Image.Resampling.LANCZOS)
    if shot.portrait:  # the sensor lies on its side; the orientation tag sets it upright again
        image = image.transpose(Image.Transpose.ROTATE_90)
        small = small.transpose(Image.Transpose.ROTATE_90)
    held = io.BytesIO()
    small.save(held, "JPEG", quality=70)
    target = into / shot.path
    target.parent.mkdir(parents=True, exist_ok=True)
    image.save(
        target, "JPEG", quality=QUALITY, optimize=True, exif=exif_of(shot, *image.size, held.getvalue())
    )
    size, took = target.stat().st_size // 1024, time.perf_counter() - began
    return f"{shot.path}  {shot.specimen or shot.kind} {shot.view}  {size} kB  {took:.1f} s"


def _write_some(some: list[Shot], into: Path, width: int) -> list[str]:
    return [write(s, into, width) for s in some]


def _named(shot: Shot, words: str) -> bool:
    names = f"{shot.path} {shot.specimen} {shot.kind} {shot.view}"
    return all(word in names for word in words.split())


def gpx() -> str:
    """The walk as GPX 1.1."""
    points = "\n".join(
        f'   <trkpt lat="{lat:.7f}" lon="{lon:.7f}"><ele>{h:.1f}</ele><time>{t:%Y-%m-%dT%H:%M:%SZ}</time></trkpt>'
        for t, lat, lon, h in track()
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="Brackenby Trailpost" xmlns="http://www.topografix.com/GPX/1/1">\n'
        f" <trk><name>Hobbin Shaw</name>\n  <trkseg>\n{points}\n  </trkseg></trk>\n</gpx>\n"
    )


def tables(into: Path) -> None:
    """Truth tables beside the pictures' folder, and the track within it."""
    (into / "foray").mkdir(parents=True, exist_ok=True)
    (into / "foray" / "walk.gpx").write_text(gpx(), encoding="utf-8")
    for name, rows in truth.tables().items():
        with (into / name).open("w", newline="", encoding="utf-8") as f:
            csv.writer(f, lineterminator="\n").writerows(rows)


def contact_sheet(folder: Path, target: Path, across: int = 8, side: int = 240) -> None:
    """All pictures in order of true time, with what they show."""
    chosen = [s for s in shots() if (folder / s.path).exists()]
    down = -(-len(chosen) // across)
    sheet = Image.new("RGB", (across * side, down * (side * 3 // 4 + 26)), (24, 26, 22))
    pen = ImageDraw.Draw(sheet)
    for i, s in enumerate(chosen):
        with Image.open(folder / s.path) as im:
            small = im.rotate(-90, expand=True) if s.portrait else im.copy()
        small.thumbnail((side - 6, side * 3 // 4 - 4), Image.Resampling.LANCZOS)
        x, y = i % across * side, i // across * (side * 3 // 4 + 26)
        sheet.paste(small, (x + (side - small.width) // 2, y + 2))
        local = s.true + timedelta(hours=1)
        pen.text(
            (x + 6, y + side * 3 // 4),
            f"{s.specimen or s.kind} {s.view} {local:%H:%M} {s.camera}",
            fill=(220, 216, 200),
            font=ImageFont.load_default(11),
        )
    sheet.save(target)


def main() -> None:
    """Command line."""
    parser = argparse.ArgumentParser(prog="python -m demo_data.make", description="Remake the demo foray.")
    parser.add_argument("--width", type=int, default=WIDTH, help="longer side in pixels")
    parser.add_argument(
        "--only",
        nargs="*",
        default=[],
        help="which pictures: words of path, specimen, kind or view (`S01` or `S01 dug`)",
    )
    parser.add_argument("--into", type=Path, default=HERE, help="folder to write to (default: demo_data)")
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    parser.add_argument("--tables", action="store_true", help="truth tables and track only")
    parser.add_argument(
        "--contact", type=Path, help="only write a contact sheet of the pictures that stand there"
    )
    args = parser.parse_args()
    if args.contact:
        contact_sheet(args.into / "foray", args.contact)
        return
    tables(args.into)
    if args.tables:
        return
    chosen = [s for s in shots() if not args.only or any(_named(s, w) for w in args.only)]
    groups: dict[str, list[Shot]] = {}
    for s in chosen:  # pictures of one specimen share their ground, so one process makes them
        groups.setdefault(
            scenes.ground_name(s.specimen) if s.kind in ("specimen", "slip") else s.kind, []
        ).append(s)
    began = time.perf_counter()
    batches = [g[i : i + 6] for g in groups.values() for i in range(0, len(g), 6)]
    with ProcessPoolExecutor(args.jobs) as pool:
        for done in pool.map(
            _write_some, batches, [args.into / "foray"] * len(batches), [args.width] * len(batches)
        ):
            print("\n".join(done), flush=True)
    total = sum((args.into / "foray" / s.path).stat().st_size for s in chosen)
    print(f"{len(chosen)} pictures, {total / 1e6:.1f} MB, {time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()
