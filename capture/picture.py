"""A photo as it comes in: looked at before it is believed, turned upright, made smaller, nothing of the camera kept.

Whatever a phone sends is decoded and written anew as a JPEG, so that neither the place it was taken at nor anything
hidden in it is stored. A picture that was stored before and comes back in a zip keeps its bytes, so that its digest
stays the same; it is taken only when it holds a picture and nothing else.
"""

from __future__ import annotations

import hashlib
import io
import struct
import threading
from collections.abc import Iterator
from dataclasses import dataclass

from PIL import Image, ImageOps

from capture import file_words

LONGEST_SIDE = 1600
"""Pixels of a stored picture, along or up."""
LARGEST_STORED = 500_000
"""Bytes of a stored picture."""
QUALITIES = (82, 74, 66, 58, 50)
SHRINK = 0.8
MOST_PIXELS = {"JPEG": 220_000_000, "PNG": 40_000_000, "WEBP": 25_000_000}
"""Of a picture that is decoded at all. A JPEG is decoded at an eighth of its size where it is large."""
MOST_PROGRESSIVE = 50_000_000
"""Of a JPEG that comes coarse first and finer later: such a one is held whole while it is decoded."""
FORMATS = tuple(MOST_PIXELS)
Image.MAX_IMAGE_PIXELS = None  # the sizes above are looked at before anything is decoded

_one_at_a_time = threading.Lock()
"""Pictures are decoded one after the other: many large ones at once would fill the laptop's memory."""


class NotAPicture(ValueError):
    """What came in cannot be taken as a photo; one plain sentence."""


@dataclass(frozen=True)
class Picture:
    """A JPEG as it is stored. width, height: pixels."""

    content: bytes
    width: int
    height: int

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def cleaned(content: bytes) -> Picture:
    """The picture in what a phone sent, upright and no larger than it need be. Raises NotAPicture."""
    if not content:
        raise NotAPicture(file_words.NO_PHOTO_CHOSEN)
    with _one_at_a_time:
        return _written(_decoded(content, LONGEST_SIDE))


def smaller(content: bytes, longest: int) -> bytes:
    """A stored picture no longer than so many pixels, for a page that shows many."""
    with _one_at_a_time:
        return _jpeg(_decoded(content, longest), 74)


def stored_before(content: bytes) -> Picture:
    """A picture as this program writes them, taken as it is. Raises NotAPicture."""
    if len(content) > LARGEST_STORED:
        raise NotAPicture(file_words.photo_of_file_too_large(LARGEST_STORED // 1_000))
    if not _nothing_but_a_picture(content):
        raise NotAPicture(file_words.NOT_OUR_PHOTO)
    with _one_at_a_time:
        width, height = _decoded(content, LONGEST_SIDE, LONGEST_SIDE).size
    return Picture(content, width, height)


def _decoded(content: bytes, longest: int, side: int | None = None) -> Image.Image:
    """The picture upright, in three colours, no longer than this. side: how long it may be itself, if said."""
    try:
        picture = Image.open(io.BytesIO(content), formats=FORMATS)
        kind = "JPEG" if picture.format == "MPO" else str(picture.format)
        most = MOST_PROGRESSIVE if picture.info.get("progressive") else MOST_PIXELS[kind]
        if picture.width * picture.height > most:
            raise NotAPicture(file_words.photo_too_wide(picture.width, picture.height, most // 1_000_000))
        if side is not None and max(picture.size) > side:
            raise NotAPicture(file_words.NOT_OUR_PHOTO)
        picture.draft("RGB", (longest, longest))
        ImageOps.exif_transpose(picture, in_place=True)
        picture = _in_colours(picture)
        picture.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    except NotAPicture:
        raise
    except (OSError, SyntaxError, ValueError, TypeError, EOFError, struct.error, MemoryError, OverflowError):
        raise NotAPicture(file_words.NO_PICTURE) from None
    return picture


def _in_colours(picture: Image.Image) -> Image.Image:
    """On white where it is see-through."""
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        seen = picture.convert("RGBA")
        white = Image.new("RGB", seen.size, "white")
        white.paste(seen, mask=seen.getchannel("A"))
        return white
    return picture.convert("RGB")


def _written(picture: Image.Image) -> Picture:
    """As a JPEG within the limit: coarser first, smaller where that is not enough."""
    while True:
        for quality in QUALITIES:
            content = _jpeg(picture, quality)
            if len(content) <= LARGEST_STORED:
                return Picture(content, *picture.size)
        size = (max(int(side * SHRINK), 1) for side in picture.size)
        picture = picture.resize(tuple(size), Image.Resampling.LANCZOS)


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    """Without anything that the picture's file said besides the picture."""
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


# What stands in a JPEG: https://www.w3.org/Graphics/JPEG/itu-t81.pdf, annex B.
START, END, SCAN, JFIF = 0xD8, 0xD9, 0xDA, 0xE0
TABLES_AND_FRAMES = {0xDB, 0xC4, 0xDD, 0xC0, 0xC1, 0xC2}
RESTARTS = range(0xD0, 0xD8)


def _nothing_but_a_picture(content: bytes) -> bool:
    """Does it begin and end as a JPEG, with nothing in it but tables, frames and scans?"""
    if content[:2] != bytes((0xFF, START)) or content[-2:] != bytes((0xFF, END)):
        return False
    try:
        kinds = list(_segments(content))
    except (IndexError, ValueError, struct.error):
        return False
    return kinds[-1:] == [END] and all(kind in TABLES_AND_FRAMES or kind in (JFIF, SCAN) for kind in kinds[:-1])


def _segments(content: bytes) -> Iterator[int]:
    """The kind of each segment after the first mark up to the end mark; -1 for what is none."""
    at = 2
    while at < len(content):
        if content[at] != 0xFF:
            yield -1
            return
        kind = content[at + 1]
        if kind == END:
            yield END if at + 2 == len(content) else -1
            return
        (length,) = struct.unpack_from(">H", content, at + 2)
        if kind == JFIF and (content[at + 4 : at + 9] != b"JFIF\0" or length != 16):  # 16: no small picture inside
            yield -1
            return
        yield kind
        at += 2 + length
        if kind == SCAN:
            at = _after_scan(content, at)


def _after_scan(content: bytes, at: int) -> int:
    """Where the next mark after a scan's data stands."""
    while True:
        at = content.index(b"\xff", at)
        if content[at + 1] != 0 and content[at + 1] not in RESTARTS:
            return at
        at += 2
