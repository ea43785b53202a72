"""The as-built sheet printed on A4 and on letter and looked at: nothing cut off, nothing lost, true to size.

Chromium prints to PDF; poppler (pdftotext, pdftoppm) says where every word stands and makes pictures of the pages.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from html import unescape
from itertools import pairwise
from pathlib import Path
from typing import Any
from unicodedata import normalize

import pytest
from PIL import Image

from capture import places, report
from capture.sheet import paper
from capture.sheet.page import Wanted, sheet
from capture.vehicle_file import read_vehicle_file
from geometry.layouts import LAYOUTS
from tests.browser.conftest import without
from tests.capture.test_store_photos import a_picture, an_entry
from tests.conftest import vehicle_object

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""mm. Source: ISO 216; ANSI/ASME Y14.1."""
POINT = 25.4 / 72
"""mm of a PDF's point."""
DOTS = 10
"""Of a picture, a mm."""
LONG = "A truck with a name that goes on and on, as long as a name may be, to see what becomes of it on paper " * 2


@dataclass(frozen=True)
class Word:
    text: str
    left: float
    top: float
    right: float
    bottom: float


def demo(name: str) -> dict[str, Any]:
    path = next(path for path in places.demo_vehicles() if path.stem == name)
    return json.loads(path.read_text(encoding="utf-8"))


def crowded() -> tuple[dict[str, Any], dict[str, bytes]]:
    """The fullest vehicle of the demo, with a long name, long words, a dozen photos, and rows of holes."""
    raw = demo("orchard_truck") | {"name": LONG[:200].strip()}
    pictures = {}
    for number in range(12):
        picture = a_picture(20 * number)
        note = "note " * (1 + 8 * (number % 4))
        raw["entries"].append(an_entry(picture, number, note=note).model_dump(exclude_unset=True))
        pictures[f"photo-{number:06d}"] = picture.content
    raw["entries"].append({
        "id": "withdraw-9", "at": "2026-05-02T16:00:00Z", "type": "withdraw", "of": raw["entries"][3]["id"],
        "note": "Donaudampfschifffahrtsgesellschaftskapitän" * 4,
    })  # fmt: skip
    return raw, pictures


def vehicle(name: str) -> tuple[dict[str, Any], dict[str, bytes]]:
    if name == "crowded":
        return crowded()
    if name in LAYOUTS:
        return vehicle_object(layout=name, worked_axle="rear"), {}
    return demo(name), {}


HEADINGS = ("Bolt centres", "Lengths, joint centre", "Parts and how", "What it does", "Over the travel", "Doubts, and",
            "What was never", "Photos", "Bolts, to fill", "To mind", "The record behind")  # fmt: skip
VEHICLES = ("orchard_truck", "quarry_hauler", "creek_wagon", "crowded", *LAYOUTS)


@pytest.fixture(scope="module")
def poppler() -> None:
    if shutil.which("pdftoppm") and shutil.which("pdftotext"):
        return
    without("no poppler to look at printed pages with: install poppler-utils")


@pytest.fixture(scope="module")
def printed(chromium: Any, poppler: None, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Path]]:
    """Prints a vehicle's sheet on a paper, once; the PDF, with the HTML beside it."""
    folder = tmp_path_factory.mktemp("print")
    context = chromium.new_context()
    page = context.new_page()
    troubles: list[str] = []
    page.on("console", lambda said: troubles.append(said.text))

    def make(name: str, short: bool, on: str) -> Path:
        pdf = folder / f"{name}-{'short' if short else 'whole'}-{on}.pdf"
        if not pdf.exists():
            raw, pictures = vehicle(name)
            html = pdf.with_suffix(".html")
            shown = report.build(read_vehicle_file(json.dumps(raw), name))
            html.write_text(sheet(shown, Wanted(pictures.get, short)), encoding="utf-8")
            page.goto(html.as_uri())
            page.pdf(path=str(pdf), format=on, prefer_css_page_size=True)
        return pdf

    yield make
    context.close()
    assert troubles == []


def pages_of(pdf: Path) -> list[list[Word]]:
    """Every word of every page with its place, mm from the page's upper left."""
    said = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    word = re.compile(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>')
    return [[Word(unescape(text), *(float(edge) * POINT for edge in edges)) for *edges, text in word.findall(page)]
            for page in said.split("<page ")[1:]]  # fmt: skip


def picture_of(pdf: Path, page: int) -> Image.Image:
    """One page, grey, DOTS a mm."""
    made = pdf.with_name(f"{pdf.stem}-{page}")
    subprocess.run(["pdftoppm", "-gray", "-r", str(DOTS * 25.4), "-f", str(page), "-l", str(page), "-singlefile",
                    str(pdf), str(made)], check=True)  # fmt: skip
    return Image.open(made.with_suffix(".pgm"))


def every_word(html: Path) -> Counter[str]:
    """The words of the sheet, letters and digits only: how they are broken into words is the printer's."""
    unseen = r'<style>.*?</style>|<title>.*?</title>|<span class="sr">.*?</span>'
    text = re.sub(unseen, "", html.read_text("utf-8"), flags=re.S)
    return letters(unescape(re.sub(r"<[^>]+>", " ", text)))


def letters(text: str) -> Counter[str]:
    return Counter(sign for sign in normalize("NFKC", text) if sign.isascii() and sign.isalnum())


@pytest.mark.parametrize("on", PAPERS)
@pytest.mark.parametrize("short", [True, False], ids=["short", "whole"])
@pytest.mark.parametrize("name", VEHICLES)
def test_nothing_is_cut_off_at_the_edge_of_the_paper(printed: Callable[..., Path], name: str, short: bool, on: str):
    wide, high = PAPERS[on]
    for number, words in enumerate(pages_of(printed(name, short, on)), start=1):
        assert words, f"page {number} is empty"
        for word in words:
            inside = word.left >= paper.MARGIN - 0.5 and word.right <= wide - paper.MARGIN + 0.5
            assert inside and word.top >= 8 and word.bottom <= high - 4, (number, word)


@pytest.mark.parametrize("on", PAPERS)
@pytest.mark.parametrize("short", [True, False], ids=["short", "whole"])
@pytest.mark.parametrize("name", ["orchard_truck", "crowded"])
def test_every_letter_of_the_sheet_is_on_the_paper(printed: Callable[..., Path], name: str, short: bool, on: str):
    pdf = printed(name, short, on)
    seen = letters(" ".join(word.text for page in pages_of(pdf) for word in page))
    lost = every_word(pdf.with_suffix(".html")) - seen
    assert not lost, lost


@pytest.mark.parametrize("on", PAPERS)
@pytest.mark.parametrize("name", VEHICLES)
def test_the_short_form_is_one_page(printed: Callable[..., Path], name: str, on: str):
    assert len(pages_of(printed(name, True, on))) == 1


@pytest.mark.parametrize("on", PAPERS)
@pytest.mark.parametrize("short", [True, False], ids=["short", "whole"])
def test_the_bar_is_50_mm_on_the_paper(printed: Callable[..., Path], short: bool, on: str):
    page = picture_of(printed("orchard_truck", short, on), 1)
    wanted = paper.BAR * DOTS
    lengths = [length for y in range(page.height) for length in black_runs(page, y)]
    assert any(abs(length - wanted) <= 8 for length in lengths), "no line of 50 mm"
    assert max(lengths) == pytest.approx(paper.WIDTH * DOTS, abs=8)  # the rule under the title: nothing was shrunk


def black_runs(page: Image.Image, y: int) -> list[int]:
    """How long the black lines of this row of the picture are, dots; the short ones left out."""
    row = page.crop((0, y, page.width, y + 1)).tobytes()
    return [len(run) for run in re.findall(rb"[\x00-\x60]{300,}", row)]


@pytest.mark.parametrize("on", PAPERS)
def test_no_row_of_a_table_stands_on_two_pages(printed: Callable[..., Path], on: str):
    """Both lines of a bolt centre, inches and mm, stand on the page of its number and name."""
    pages = pages_of(printed("orchard_truck", False, on))
    shown = report.build(read_vehicle_file(json.dumps(demo("orchard_truck")), "x"))
    for name, point in shown.fit.placed().items():
        if not point.known:
            continue
        mm = f"{abs(point.x):.0f}"
        holding = [number for number, words in enumerate(pages)
                   if any(re.fullmatch(rf"[+−]?{mm}", word.text) for word in words)]  # fmt: skip
        assert holding, name
    for words in pages:
        lines = sorted({round(word.top, 1) for word in words})
        assert all(later - earlier < 260 for earlier, later in pairwise(lines))


@pytest.mark.parametrize("on", PAPERS)
def test_no_drawing_and_no_heading_is_torn(printed: Callable[..., Path], on: str):
    """A heading never stands alone at the foot of a page."""
    pages = pages_of(printed("crowded", False, on))
    found = set()
    for words in pages:
        left = min(word.left for word in words)
        last = max(word.bottom for word in words if word.bottom < PAPERS[on][1] - paper.MARGIN)
        for heading in HEADINGS:
            for at, word in enumerate(words):
                said = " ".join(each.text for each in words[at : at + len(heading.split())])
                if said == heading and word.left < left + 1:
                    found.add(heading)
                    assert last - word.bottom > 8, (heading, word)
    assert found == set(HEADINGS)


def test_the_paper_is_black_on_white_whatever_the_screen_is(chromium: Any, printed: Callable[..., Path]):
    html = printed("orchard_truck", True, "A4").with_suffix(".html")
    context = chromium.new_context(color_scheme="dark")
    page = context.new_page()
    page.goto(html.as_uri())
    page.emulate_media(media="print", color_scheme="dark")
    ground, ink = page.evaluate("[getComputedStyle(document.documentElement).backgroundColor, "
                                "getComputedStyle(document.querySelector('h1')).color]")  # fmt: skip
    context.close()
    assert (ground, ink) == ("rgb(255, 255, 255)", "rgb(0, 0, 0)")


def test_a_spread_said_by_both_its_ends_stays_in_its_column(chromium: Any, monkeypatch: Any):
    # Links nearly in line put the instant centre far away, with a lopsided spread: no numbers are longer.
    shown = report.build(read_vehicle_file(json.dumps(demo("orchard_truck")), "orchard"))
    far = replace(shown.sheet.figures["instant_centre.x"], value=-12_631.0, interval=(-21_565.0, -9_096.0))
    figures = {**shown.sheet.figures, "instant_centre.x": far}
    monkeypatch.setattr(report.Report, "sheet", replace(shown.sheet, figures=figures))
    page = chromium.new_context(viewport={"width": 703, "height": 1000}).new_page()
    page.emulate_media(media="print")
    page.set_content(sheet(shown, Wanted({}.get, short=False)))
    wide = page.evaluate("""() => [...document.querySelectorAll("table.figures td.n, table.tight td.n")]
        .filter(cell => {
            const words = document.createRange();
            words.selectNodeContents(cell);
            return words.getBoundingClientRect().right > cell.getBoundingClientRect().right + 1
                || words.getBoundingClientRect().left < cell.getBoundingClientRect().left - 1;
        }).map(cell => cell.innerText)""")
    there = page.locator("table.figures td.n", has_text="849").count()
    page.context.close()
    assert there == 1 and wide == []
