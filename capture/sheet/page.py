"""All parts of the sheet put together into one HTML file without script, without network, black on white."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib import resources

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from capture.report import Report
from capture.screens import pictures
from capture.screens.filters import bidi, fractions
from capture.screens.words import counted, sentence_start, short
from capture.sheet import (
    behaviour_part,
    cautions_part,
    identity,
    marked,
    paper,
    parts_used,
    photos_part,
    sheet_words,
    tables,
    trust_part,
    views,
)
from capture.sheet.photos_part import Pictures

MOST_ON_ONE_PAGE = 10
"""Points and figures on the short form; the rest is counted there and stands on the whole sheet."""


@dataclass(frozen=True)
class Wanted:
    """short: the form of one page. pictures: a photo's JPEG by its id. address: of the record where it is served.

    made: when the sheet was made. back, other, file: links for the screen, not printed: to the record, to the other
    form, and to this sheet as a file to keep.
    """

    pictures: Pictures
    short: bool = False
    address: str | None = None
    made: datetime | None = None
    back: str = ""
    other: str = ""
    file: str = ""


def sheet(report: Report, wanted: Wanted) -> str:
    """The HTML of the sheet."""
    vehicle = pictures.vehicle(report)
    scale = views.scale_of(vehicle, wanted.short)
    return _templates().get_template("short.html" if wanted.short else "whole.html").render(
        report=report,
        wanted=wanted,
        vehicle=vehicle,
        scale=scale,
        unit=report.vehicle.display_unit,
        identity=identity.identity(report),
        marked=marked.marked(report, wanted.address),
        made=(wanted.made or datetime.now()).strftime("%d %b %Y").lstrip("0"),
        style=Markup(style()),
        style_hash=style_hash(),
        views=views, tables=tables, behaviour=behaviour_part, trust=trust_part, parts=parts_used, photos=photos_part,
        cautions=cautions_part, say=sheet_words, paper=paper, most=MOST_ON_ONE_PAGE,
    )  # fmt: skip


@cache
def _templates() -> Environment:
    found = Environment(loader=PackageLoader("capture.sheet"), autoescape=True, undefined=StrictUndefined,
                        trim_blocks=True, lstrip_blocks=True)
    found.filters |= {"fractions": fractions, "bidi": bidi, "counted": counted, "sentence_start": sentence_start,
                      "shortened": short}
    return found


@cache
def style() -> str:
    """What stands between <style> and </style>."""
    return resources.files("capture.sheet").joinpath("sheet.css").read_text(encoding="utf-8")


@cache
def style_hash() -> str:
    """How a content policy names this style and no other."""
    return "sha256-" + base64.b64encode(hashlib.sha256(style().encode("utf-8")).digest()).decode("ascii")


def content_policy() -> str:
    """For the answer that carries a sheet: this style, pictures inside the file, nothing else."""
    return f"default-src 'none'; style-src '{style_hash()}'; img-src data:; base-uri 'none'; form-action 'none'"
