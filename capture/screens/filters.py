"""How values and words are set on a page: fractions raised as on a drawing, lengths in the person's unit, names kept
apart from the text around them. Registered with the screens, so that every template has them."""

from __future__ import annotations

import re

from flask import Blueprint
from markupsafe import Markup, escape

from capture import lengths
from capture.screens import words
from capture.static_files import static_url

blueprint = Blueprint("filters", __name__)

# 24 1/8 or 3/16 with an inch tape's denominators, and no part of a tyre size or a date
FRACTION = re.compile(r"(?<![\w/.,])(?:(\d+) )?(\d{1,2})/(2|4|8|16|32|64)(?![\w/])")
_RAISED = Markup(
    '<span class="nw"><span class="sr">{said}</span><span aria-hidden="true">{whole}'
    '<span class="fr"><b>{top}</b><i>/</i><u>{bottom}</u></span></span></span>'
)


@blueprint.app_template_filter("fractions")
def fractions(text: object) -> Markup:
    """The text with its fractions raised; read aloud they stay plain "19 1/8". Markup given is passed through."""
    if isinstance(text, Markup):
        return text
    plain = str(text)
    pieces, end = [], 0
    for found in FRACTION.finditer(plain):
        whole, top, bottom = found.groups()
        pieces.append(escape(plain[end:found.start()]))
        pieces.append(_RAISED.format(said=found[0], whole=whole or "", top=top, bottom=bottom))
        end = found.end()
    pieces.append(escape(plain[end:]))
    return Markup("").join(pieces)


@blueprint.app_template_filter("said")
def said(value: float, unit: str, display_unit: str, signed: bool = False, sd: float = 0.0) -> Markup:
    """A value of the file's unit in the person's, with its unit; no finer than its standard deviation leaves it."""
    number, degrees, per = lengths.say(value, unit, display_unit, signed, 2 * sd).partition("°")
    if per:  # degrees for each degree of lean: the small print set small
        return fractions(number) + degrees + Markup("<small>{}</small>").format(per)
    return fractions(number + degrees)


@blueprint.app_template_filter("bare")
def bare(value: float, unit: str, display_unit: str, signed: bool = False, sd: float = 0.0) -> Markup:
    """The same in a table: without "in" or "mm", which its head names, and without small print."""
    number = lengths.say(value, unit, display_unit, signed, 2 * sd)
    for ending in (" in", " mm", " per degree"):
        number = number.removesuffix(ending)
    return fractions(number)


@blueprint.app_template_filter("spread")
def spread(sd: float, unit: str, display_unit: str) -> Markup:
    """Give or take: two standard deviations, never nothing."""
    return fractions(lengths.say_spread(2 * sd, unit, display_unit))


@blueprint.app_template_filter("bidi")
def bidi(name: str) -> Markup:
    """A person's own words, kept from turning the text around them when they are written right to left."""
    return Markup("<bdi>{}</bdi>").format(name)


blueprint.add_app_template_filter(words.moment, "moment")
blueprint.add_app_template_filter(words.lately, "lately")
blueprint.add_app_template_filter(words.sentence_start, "sentence_start")
blueprint.add_app_template_filter(words.counted, "counted")


@blueprint.app_context_processor
def in_every_template() -> dict[str, object]:
    return {"static_url": static_url, "say": words, "said_to_guests": words.TO_GUESTS,
            "said_to_guests_measuring": words.TO_GUESTS_MEASURING}
