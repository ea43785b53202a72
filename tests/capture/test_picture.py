"""Pictures as phones send them and as others would like them to be taken."""

from __future__ import annotations

import io
import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from PIL import Image

from capture.picture import LARGEST_STORED, LONGEST_SIDE, NotAPicture, cleaned, smaller, stored_before

ORIENTATION, PLACE = 0x0112, 0x8825


def sent(picture: Image.Image, kind: str = "JPEG", **how: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **how)
    return out.getvalue()


def a_photo(width: int = 640, height: int = 480) -> Image.Image:
    """Black at the left, white at the right, as a gradient."""
    return Image.linear_gradient("L").rotate(90).resize((width, height)).convert("RGB")


def opened(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content))


def test_a_large_photo_becomes_a_small_jpeg_in_the_same_shape():
    found = cleaned(sent(a_photo(4000, 3000)))
    assert (found.width, found.height) == (LONGEST_SIDE, 1200) == opened(found.content).size
    assert opened(found.content).format == "JPEG" and len(found.content) <= LARGEST_STORED


def test_nothing_the_camera_wrote_is_kept():
    exif = Image.Exif()
    exif[0x010F], exif[PLACE] = "A camera", {1: "N", 2: (51.0, 30.0, 0.0)}
    content = sent(a_photo(), exif=exif, comment=b"where I live", icc_profile=b"x" * 500)
    assert b"A camera" in content and b"where I live" in content
    found = cleaned(content).content
    for trace in (b"A camera", b"where I live", b"Exif", b"ICC_PROFILE"):
        assert trace not in found
    assert not opened(found).getexif()


def test_a_phone_held_upright_gives_an_upright_photo():
    exif = Image.Exif()
    exif[ORIENTATION] = 6  # Source: EXIF 2.3, 4.6.4: row 0 is the right side, so it is turned by 90 degrees clockwise
    found = cleaned(sent(a_photo(640, 480), exif=exif))
    assert (found.width, found.height) == (480, 640)
    shown = opened(found.content).convert("L")
    assert shown.getpixel((240, 10)) < 40 and shown.getpixel((240, 629)) > 215  # what was left is now on top


def test_even_noise_stays_below_the_limit_of_a_stored_picture():
    noise = Image.frombytes("RGB", (1600, 1600), os.urandom(1600 * 1600 * 3))
    assert len(cleaned(sent(noise, quality=95)).content) <= LARGEST_STORED


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_other_pictures_of_a_phone_are_taken_on_white_where_they_are_see_through(kind: str):
    found = cleaned(sent(Image.new("RGBA", (50, 40), (0, 0, 0, 0)), kind))
    assert opened(found.content).getpixel((25, 20)) == (255, 255, 255)


def test_small_ones_for_pages():
    assert max(opened(smaller(cleaned(sent(a_photo())).content, 240)).size) == 240


def a_png_header(width: int, height: int) -> bytes:
    """A PNG that says it is so large and holds next to nothing."""
    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = ((b"IHDR", header), (b"IDAT", zlib.compress(b"\0" * 100)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "No photo was chosen yet"),
        (b"GIF89a" + b"\0" * 100, "no photo that can be read here: choose a JPEG, PNG or WebP"),
        (b"%PDF-1.7", "no photo that can be read here"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>', "no photo that can be read here"),
        (sent(a_photo())[:2000], "no photo that can be read here"),
        (a_png_header(65_000, 65_000), "65000 by 65000 pixels; at most 40 million are taken"),
        (a_png_header(600, 600), "no photo that can be read here"),
        (b"\xff\xd8\xff" + b"\0" * 1000, "no photo that can be read here"),
    ],
)
def test_what_is_no_photo_is_refused_in_one_sentence(content: bytes, said: str):
    with pytest.raises(NotAPicture, match=said) as refused:
        cleaned(content)
    assert str(refused.value).endswith(".") and "\n" not in str(refused.value)


@pytest.mark.parametrize("progressive", [True, False])
def test_a_jpeg_that_is_held_whole_while_it_is_decoded_may_be_less_large(progressive: bool):
    large = sent(Image.new("L", (8000, 8000)), progressive=progressive)
    if not progressive:
        assert cleaned(large).width == LONGEST_SIDE
        return
    with pytest.raises(NotAPicture, match="8000 by 8000 pixels; at most 50 million are taken"):
        cleaned(large)


BOMBS = {"JPEG": (14_000, 14_000, {}), "progressive": (7_000, 7_000, {"progressive": True, "subsampling": 0}),
         "PNG": (6_300, 6_300, {}), "WEBP": (4_900, 4_900, {})}  # fmt: skip
MOST_HELD = 512
"""MB: what decoding the largest picture of a kind may take."""


@pytest.mark.skipif(not hasattr(os, "wait4"), reason="this system does not say how much memory a process took")
@pytest.mark.parametrize("kind", BOMBS)
def test_the_largest_picture_that_is_taken_fills_no_laptop(kind: str, tmp_path: Path):
    width, height, how = BOMBS[kind]
    blank = Image.new("RGB", (width, height), (10, 200, 30))
    (tmp_path / "bomb").write_bytes(sent(blank, "JPEG" if kind == "progressive" else kind, **how))
    code = (
        "import resource, sys; from pathlib import Path; from capture.picture import cleaned\n"
        "a_kilobyte = 1 if sys.platform == 'linux' else 1024\n"
        "most = lambda: resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // a_kilobyte\n"
        "content = Path(sys.argv[1]).read_bytes(); before = most()\n"
        "assert cleaned(content).width == 1600; print((most() - before) // 1024)"
    )
    run = subprocess.run([sys.executable, "-c", code, str(tmp_path / "bomb")], capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    assert int(run.stdout) < MOST_HELD


# Back from a zip: the bytes stay as they are, so they must be such as this program writes.


def test_a_stored_picture_comes_back_bit_for_bit():
    first = cleaned(sent(a_photo()))
    again = stored_before(first.content)
    assert again == first and again.sha256 == first.sha256


@pytest.mark.parametrize(
    "change",
    [
        lambda good: good + b"<script>",
        lambda good: good[:2] + b"\xff\xfe\x00\x06hide" + good[2:],
        lambda good: good[:2] + b"\xff\xe1\x00\x08Exif\0\0" + good[2:],
        lambda good: good[:-2],
        lambda good: b"PK\x03\x04" + good,
        lambda good: sent(a_photo(), exif=b"Exif\0\0II*\0\x08\0\0\0\0\0\0\0\0\0"),
        lambda good: sent(a_photo(), "PNG"),
        lambda good: good[:30] + b"\xff\xd9",
        lambda good: good + b"\0" * LARGEST_STORED,
        lambda good: sent(Image.new("RGB", (LONGEST_SIDE + 1, 100))),
        lambda good: sent(Image.new("RGB", (5000, 5000)), quality=50),
    ],
)
def test_a_picture_with_anything_else_in_it_does_not_come_back(change):
    good = cleaned(sent(a_photo())).content
    with pytest.raises(NotAPicture):
        stored_before(change(good))
