"""What the page for tables in and out says."""

from __future__ import annotations

TITLE = "Tables in and out"
NOTHING_NEW = "Nothing new in this table"
READINGS_OUT = "Those that count, with unit, note, stage, time; comes in again."
BLANK = "A blank table (CSV)"
BLANK_HOLDS = "A line for each reading of the walk, to fill in."
POINTS_OUT = "Place and ± of each, in the vehicle frame, mm."
VIEWS_OUT = "One to one, mm."


def nothing_in_it(name: str) -> str:
    return f"{name}: there is nothing in it yet; choose a file, or paste lines below."


def too_large(name: str, most: int) -> str:
    return f"{name}: it is larger than {most} kB; bring it in in parts, or with the command plumbtack table --take."


def left_out(lines: str) -> str:
    return f"; {lines} left out, in the record already."
