"""Why a table of readings cannot be taken: what, where, what to do."""

from __future__ import annotations


def too_many_lines(name: str, number: int, most: int) -> str:
    return f"{name}: it has {number} lines, and {most} is the most."


def nothing_below(name: str) -> str:
    return f"{name}: there is no reading below the heading; fill in a line and try again."


def table_empty(name: str, columns: str) -> str:
    return f"{name}: it is empty; the first line names the columns: {columns}."


def strange_column(name: str, at: str, column: str, why: str, columns: str) -> str:
    return f"{name}: {at}: the column {column} {why}; the columns are {columns}."


def column_missing(name: str, at: str, column: str) -> str:
    return f"{name}: {at}: the column {column} is missing; add it and try again."


def table_too_large(name: str, most: int) -> str:
    return f"{name}: it is larger than {most} MB; a table of readings is far smaller."


def a_spreadsheet(name: str) -> str:
    return f"{name}: it is a spreadsheet’s own file; save it there as CSV UTF-8 and try again."


def quotation_marks(name: str) -> str:
    return f"{name}: its quotation marks do not pair up; save it as CSV again."


def not_utf_8(name: str, line: int) -> str:
    return f"{name}: line {line} is not UTF-8 text; save it as CSV UTF-8 and try again."


def western_letters(line: int) -> str:
    return f"Line {line} is not UTF-8; its letters are read as Western European ones. Look at the notes."


def strange_letters(name: str) -> str:
    return f"{name}: its letters cannot be read; save it as CSV UTF-8 and try again."


def one_to_one(name: str, view: str) -> str:
    return f"{name}, {view}; one to one, mm"
