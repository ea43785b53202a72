"""Why a move on paper cannot be carried out as it stands in the address or was typed."""

from __future__ import annotations

UNREADABLE_MOVE = "A move in this address cannot be read; start over, or go back one page."
NO_LENGTH = "A move in this address is no length; start over, or go back one page."
TOO_LONG_A_MOVE = "A move is longer than any vehicle: type that length again."


def too_many_moves(most: int) -> str:
    return f"{most} moves are the most in one plan; take some back."


def no_tyre_of(said: str) -> str:
    return f"A tyre of {said} is no diameter of a vehicle's tyre: type it again."


def no_link_of(said: str) -> str:
    return f"A link of {said} is none: type its length again."


def no_such_link(name: str) -> str:
    return f"There is no link {name} in this layout; take that move back."
