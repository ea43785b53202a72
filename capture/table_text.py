"""The bytes of a table as lines of cells: which letters they are written in, what stands between the cells, and what
may stand in one.

UTF-8 and UTF-16 say so themselves. What is neither is taken for Western European letters of a spreadsheet (code page
1252), and that is said, since only notes can come out otherwise than meant.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass

from capture import table_words
from capture.json_text import LARGEST_BYTES, plain

MARKS = ",;\t"
SUM = re.compile(r"^(?=[\t\r=+\-@＝＋－＠])|(?<=[;\t])(?=[=+\-@＝＋－＠])")
"""Where a spreadsheet would begin to work something out, also one that parts cells at semicolons or tabs."""
MOST_NULS = 1000
"""Bytes looked at for the noughts that betray UTF-16 without its mark."""


class BadTable(ValueError):
    """A table of which nothing is taken; one plain sentence for each line at fault."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__("\n".join(self.sentences))


@dataclass(frozen=True)
class TableText:
    """whole: the text itself. first: the number of the first line of cells, as an editor counts; commas: numbers have
    decimal commas, since semicolons part the cells; remark: what is to be said of how it was read, or nothing."""

    whole: str
    lines: list[list[str]]
    first: int
    commas: bool
    remark: str = ""


def harmless(text: str) -> str:
    """A person's words as a cell that no spreadsheet takes for a formula."""
    return SUM.sub("'", text)


def read_text(content: bytes, name: str) -> TableText:
    """A table's cells. name: the file's, to begin a refusal. Raises BadTable."""
    name = plain(name, 200)
    if len(content) > LARGEST_BYTES:
        most = LARGEST_BYTES // 1_000_000
        raise BadTable([table_words.table_too_large(name, most)])
    if content.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise BadTable([table_words.a_spreadsheet(name)])
    text, remark = letters(content, name)
    text = text.removeprefix("\ufeff")
    stated, rest = _stated_mark(text)
    mark = stated or max(MARKS, key=text.partition("\n")[0].count)
    try:
        lines = list(csv.reader(io.StringIO(rest, newline=""), delimiter=mark, strict=True))
    except csv.Error:
        raise BadTable([table_words.quotation_marks(name)]) from None
    return TableText(text, lines, 2 if stated else 1, mark == ";", remark)


def letters(content: bytes, name: str) -> tuple[str, str]:
    """The text, and what is to be said of its letters. Raises BadTable."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _decoded(content, "utf-16", name), ""
    noughts = content[:MOST_NULS].count(b"\x00")
    if noughts:
        little = content[1:MOST_NULS:2].count(b"\x00") > noughts / 2
        return _decoded(content, "utf-16-le" if little else "utf-16-be", name), ""
    try:
        return content.decode("utf-8-sig"), ""
    except UnicodeDecodeError as trouble:
        line = content.count(b"\n", 0, trouble.start) + 1
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        raise BadTable([table_words.not_utf_8(name, line)]) from None
    return text, table_words.western_letters(line)


def _decoded(content: bytes, encoding: str, name: str) -> str:
    try:
        text = content.decode(encoding)
        if "\x00" not in text:
            return text
    except UnicodeDecodeError:
        pass
    raise BadTable([table_words.strange_letters(name)])


def _stated_mark(text: str) -> tuple[str, str]:
    """A first line "sep=;", which some spreadsheets write, and what follows it."""
    first, _, rest = text.partition("\n")
    first = first.strip().strip('"').lower()
    if first.startswith("sep=") and len(first) == 5 and first[4] in MARKS:
        return first[4], rest
    if first == "sep=":  # the tab was stripped with the line's end
        return "\t", rest
    return "", text
