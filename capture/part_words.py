"""What the sizes of a link's parts are called in a sentence."""

from __future__ import annotations

STANDS_OUT = "how far the joint stands out"
LIP_OF_THE_INSERT = "the lip of the insert"
