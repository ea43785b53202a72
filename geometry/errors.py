"""Everything a person or a file can get wrong towards the sums, as one family.

    GeometryError (ValueError)
    ├── BadLayout          a layout or worked axle that does not exist
    ├── BadName            a reading or point that this layout does not have
    ├── BadValue           a reading whose value or spread cannot be used
    └── Underdetermined    readings that do not fix what was asked

Each carries one plain sentence: what, where, what to do. Slips of our own stay plain `ValueError`.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class GeometryError(ValueError):
    """Base of the family: one plain sentence for the person."""


class BadLayout(GeometryError):
    """A layout or worked axle that does not exist."""


class BadName(GeometryError):
    """A reading or point that this layout does not have."""


class BadValue(GeometryError):
    """A reading whose value or spread cannot be used."""


class Underdetermined(GeometryError):
    """The rows do not fix every unknown."""


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """The end of a sentence: "; did you mean X?" with the nearest known word, or nothing when none is near."""
    near = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"; did you mean {near[0]}?" if near else ""
