"""The square code of an address, for the terminal and for a page."""

from __future__ import annotations

from markupsafe import Markup
from qrcode import QRCode
from qrcode.constants import ERROR_CORRECT_M

QUIET = 4  # white modules around the code, as readers expect
BLACK_ON_WHITE = "\x1b[0;30;47m\x1b[38;5;16;48;5;231m"  # the second is truer white where 256 colours are known
PLAIN_AGAIN = "\x1b[0m"
HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def modules(text: str) -> list[list[bool]]:
    """The code as rows of dark (True) and light modules, quiet zone included."""
    code = QRCode(error_correction=ERROR_CORRECT_M, border=QUIET)
    code.add_data(text)
    code.make(fit=True)
    return [[bool(module) for module in row] for row in code.get_matrix()]


def in_terminal(text: str, colours: bool) -> str:
    """Two rows of modules a line of text. With colours it reads on dark and on light terminals alike."""
    rows = modules(text)
    if len(rows) % 2:
        rows.append([False] * len(rows[0]))
    pairs = zip(rows[::2], rows[1::2], strict=True)
    lines = ["".join(HALVES[halves] for halves in zip(above, below, strict=True)) for above, below in pairs]
    if colours:
        lines = [BLACK_ON_WHITE + line + PLAIN_AGAIN for line in lines]
    return "\n".join(lines)


def as_svg(text: str, name: str) -> Markup:
    """The code as an inline drawing that grows with its place, black on white in both schemes."""
    rows = modules(text)
    size = len(rows)
    dark = "".join(f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, module in enumerate(row) if module)
    return Markup(
        '<svg viewBox="0 0 {size} {size}" role="img" aria-label="{name}" shape-rendering="crispEdges">'
        '<path fill="#fff" d="M0 0h{size}v{size}h-{size}z"/><path fill="#000" d="{dark}"/></svg>'
    ).format(size=size, name=name, dark=dark)
