"""Copies of pictures for others: pixels, an author and a licence, and nothing else.

A copy is made from pixels, never from the file, so that no tag, thumbnail or trailer of the camera can slip
through; then it is read back, segment by segment, and thrown away if anything remains.
Author and licence stand as IPTC-IIM (By-line 2:80, Copyright Notice 2:116) and as XMP (dc:creator, dc:rights,
xmpRights), as the IPTC Photo Metadata Standard 2019.1 pairs them.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

from PIL import Image

from catalog_gui.domain.photo import Raster
from catalog_gui.domain.problem import BadInput

QUALITY = 90
_XMP_HEAD = b"http://ns.adobe.com/xap/1.0/\x00"
_IPTC_HEAD = b"Photoshop 3.0\x00"
_NEEDED = {0xDB, 0xC4, 0xC0, 0xC1, 0xC2, 0xDA, 0xDD}  # tables, frame, scan, restart interval


@dataclass(frozen=True, slots=True)
class Credit:
    """Who made the picture and on what terms: both as the user typed them for this export, or ''."""

    author: str = ""
    licence: str = ""


def safe_jpeg(raster: Raster, credit: Credit, *, edge: int = 0) -> bytes:
    """A JPEG of the pixels, its longer side at most `edge` (0: as it is). Raises BadInput if anything remains."""
    image = Image.frombytes("RGB", (raster.width, raster.height), raster.rgb)
    if edge and max(image.size) > edge:
        image.thumbnail((edge, edge), Image.Resampling.LANCZOS, reducing_gap=3.0)
    plain = io.BytesIO()
    image.save(plain, "JPEG", quality=QUALITY, optimize=True)
    data = _with_credit(plain.getvalue(), credit)
    left = what_remains(data, credit)
    if left:
        raise BadInput(f"The copy is not clean ({', '.join(left)}); it was not written.")
    return data


def what_remains(data: bytes, credit: Credit) -> tuple[str, ...]:
    """What a picture carries besides pixels and this very credit; empty for a clean copy."""
    found: list[str] = []
    allowed = {_xmp_segment(credit), _iptc_segment(credit)} if credit.author or credit.licence else set()
    try:
        for marker, payload in _segments(data):
            if marker == 0xE0 and payload[:5] == b"JFIF\x00" and payload[12:14] == b"\x00\x00":
                continue  # JFIF without a thumbnail
            if marker in _NEEDED or payload in allowed:
                continue
            if marker == -1:
                found.append(f"{len(payload)} bytes after the end of the picture")
            elif marker == 0xFE:
                found.append("a comment")
            else:
                found.append(f"a segment {payload[:12]!r}" if marker >= 0xE0 else f"a marker {marker:#x}")
    except (struct.error, IndexError):
        found.append("a broken segment")
    return tuple(found)


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Every marker segment of a JPEG (ITU-T T.81 annex B) with its payload; -1 for what follows the end."""
    if data[:2] != b"\xff\xd8":
        yield -1, data
        return
    at = 2
    while at < len(data):
        if data[at] != 0xFF:
            raise IndexError
        marker = data[at + 1]
        if marker == 0xD9:
            if at + 2 < len(data):
                yield -1, data[at + 2 :]
            return
        (length,) = struct.unpack(">H", data[at + 2 : at + 4])
        yield marker, data[at + 4 : at + 2 + length]
        at += 2 + length
        if marker == 0xDA:
            while not (data[at] == 0xFF and data[at + 1] != 0 and not 0xD0 <= data[at + 1] <= 0xD7):
                at += 1
    raise IndexError


def _with_credit(plain: bytes, credit: Credit) -> bytes:
    if not credit.author and not credit.licence:
        return plain
    (length,) = struct.unpack(">H", plain[4:6])
    after_jfif = 4 + length if plain[2:4] == b"\xff\xe0" else 2
    return b"".join(
        (
            plain[:after_jfif],
            _segment(0xE1, _xmp_segment(credit)),
            _segment(0xED, _iptc_segment(credit)),
            plain[after_jfif:],
        )
    )


def _segment(marker: int, payload: bytes) -> bytes:
    if len(payload) > 65_000:
        raise BadInput("Author and licence are too long for a picture.")
    return struct.pack(">BBH", 0xFF, marker, len(payload) + 2) + payload


def _xmp_segment(credit: Credit) -> bytes:
    author = (
        f"<dc:creator><rdf:Seq><rdf:li>{escape(credit.author)}</rdf:li></rdf:Seq></dc:creator>"
        if credit.author
        else ""
    )
    licence = ""
    if credit.licence:
        words = escape(credit.licence)
        licence = (
            f'<dc:rights><rdf:Alt><rdf:li xml:lang="x-default">{words}</rdf:li></rdf:Alt></dc:rights>'
            f'<xmpRights:UsageTerms><rdf:Alt><rdf:li xml:lang="x-default">{words}</rdf:li></rdf:Alt>'
            "</xmpRights:UsageTerms><xmpRights:Marked>True</xmpRights:Marked>"
        )
        if credit.licence.startswith("http"):
            licence += f"<xmpRights:WebStatement>{words}</xmpRights:WebStatement>"
    packet = (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
        'xmlns:xmpRights="http://ns.adobe.com/xap/1.0/rights/">'
        f"{author}{licence}</rdf:Description></rdf:RDF></x:xmpmeta>"
        '<?xpacket end="r"?>'
    )
    return _XMP_HEAD + packet.encode()


def _iptc_segment(credit: Credit) -> bytes:
    """IPTC-IIM 4.2 in an image resource block 0x0404; record 1 says that the text is UTF-8."""
    records = b"\x1c\x01\x5a" + struct.pack(">H", 3) + b"\x1b%G"
    for number, words, most in ((80, credit.author, 32), (116, credit.licence, 128)):
        if words:
            value = words.encode()[:most].decode(errors="ignore").encode()
            records += struct.pack(">BBBH", 0x1C, 2, number, len(value)) + value
    block = b"8BIM" + struct.pack(">HBBI", 0x0404, 0, 0, len(records)) + records
    return _IPTC_HEAD + block + (b"\x00" if len(records) % 2 else b"")
