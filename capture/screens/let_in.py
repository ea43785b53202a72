"""Letting the phone in: the square code once more, the guests' one, and a new key that throws everybody else out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from flask import Blueprint, render_template, request
from markupsafe import Markup

from capture.qr import as_svg
from capture.screens import let_in_words
from capture.screens.room import Head, plumbtack

blueprint = Blueprint("let_in", __name__, template_folder="templates")

HEAD = Head(let_in_words.TITLE, let_in_words.ONCE_FOR_EACH)


@dataclass(frozen=True)
class WayIn:
    """One address under which this laptop is reached, and its square code."""

    address: str
    network: str
    code: Markup


@dataclass(frozen=True)
class LetInPage:
    """ways: for who measures; guests: for who looks. may_renew: whether this browser may make a new key; renewed:
    whether it just did."""

    ways: tuple[WayIn, ...]
    guests: tuple[WayIn, ...]
    may_renew: bool
    renewed: bool
    head: Head = HEAD


@blueprint.get("/let-in")
def page() -> str:
    """The codes once more, for a phone that comes later."""
    pairing = plumbtack().pairing
    return render_template("let_in.html", page=LetInPage(
        ways=ways_in(pairing.way_in, let_in_words.CODE_DRAWN),
        guests=ways_in(pairing.guest_way_in, let_in_words.GUEST_CODE_DRAWN),
        may_renew=pairing.may_renew(),
        renewed="renewed" in request.args,
    ))


def ways_in(way: Callable[[str], str], name: str) -> tuple[WayIn, ...]:
    """Every address of this laptop with a key inside, the likeliest first."""
    addresses = plumbtack().settings.addresses
    return tuple(WayIn(way(one.url), one.network, as_svg(way(one.url), name)) for one in addresses)
