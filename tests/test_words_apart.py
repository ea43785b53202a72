"""What a person reads stands in words modules (`words.py`, `*_words.py`, in scripts `words.js`), apart from the code
that decides when to say it. The rule is in DEVELOPERS.md, under "Words"."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import jinja2
import pytest
from jinja2 import nodes

ROOT = Path(__file__).parents[1]
WORD = r"[A-Za-z][\w’'\-]*"
GAP = r"[\"(“‘]*\{\}[\"”),.;:’%°]*"
FOUR_WORDS = re.compile(rf"{WORD}(?:[,;:.?!)”\"’]* +(?:{GAP} +)*[\"(“‘]*{WORD}){{3,}}")
SPOKEN_TO_MACHINES = re.compile(r"\(\?|\\d|\\s|\[0-9|%[YbHM]|^(SELECT|INSERT|UPDATE|DELETE|PRAGMA)\b|default-src|:is\(")
OUR_OWN_SLIPS = {"ValueError", "TypeError", "RuntimeError", "AssertionError"}
DECLARED = re.compile(r"(?:[A-Z]\w*|add_parser|add_argument|add_argument_group|add_subparsers)$")
"""A title or help given to the thing it belongs to (FigureKind, Band, Section, an option) is part of declaring it;
an exception is none."""
REFUSES = re.compile(r"(?:Bad|Not|No|Cannot|Under|Refused|Store|Out)\w*|\w*(?:Error|Warning)|Markup|Said|Trouble")
MODULES = sorted(
    path for room in ("capture", "geometry") for path in (ROOT / room).rglob("*.py")
    if path.name != "words.py" and not path.name.endswith("_words.py")
)
SCRIPTS = sorted(path for path in (ROOT / "static").glob("*.js") if not path.name.endswith("words.js"))
TEMPLATES = sorted((ROOT / "capture").rglob("templates/*.html"))


def is_sentence(text: str) -> bool:
    """Four words or more in a row; what a value is put into counts as a gap. Patterns and SQL are none."""
    return bool(FOUR_WORDS.search(text)) and not SPOKEN_TO_MACHINES.search(text)


def said(node: ast.AST) -> str:
    """The text of a literal, with {} where a value goes; nothing for another expression."""
    if isinstance(node, ast.JoinedStr):
        return "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def sentences_in(source: str) -> Iterator[tuple[int, str]]:
    """Sentences that stand inside functions or as constants of a module, with their lines."""
    tree = ast.parse(source)
    for statement in tree.body:
        told = said(statement.value) if isinstance(statement, (ast.Assign, ast.AnnAssign)) and statement.value else ""
        if is_sentence(told):
            yield statement.lineno, told
    for function in ast.walk(tree):
        if isinstance(function, (ast.FunctionDef, ast.Lambda)):
            body = function.body if isinstance(function.body, list) else [function.body]
            for statement in body:
                yield from _spoken(statement)


def _spoken(node: ast.AST) -> Iterator[tuple[int, str]]:
    """Every sentence below a node, but for docstrings, our own slips, and what is declared."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return
    if isinstance(node, (ast.FunctionDef, ast.Lambda)):
        return  # walked by itself
    if is_sentence(said(node)):
        yield node.lineno, said(node)  # type: ignore[attr-defined]
        return
    below = list(ast.iter_child_nodes(node))
    if isinstance(node, ast.Call):
        called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        if called in OUR_OWN_SLIPS:
            return
        if DECLARED.match(called) and not REFUSES.fullmatch(called):
            given = [*node.args, *(keyword.value for keyword in node.keywords)]
            below = [part for part in given if not said(part)]
    for part in below:
        yield from _spoken(part)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_that_decides_holds_no_sentence(path: Path):
    found = [f"{line}: {text}" for line, text in sentences_in(path.read_text(encoding="utf-8"))]
    assert not found, f"move to a words module: {found}"


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_a_script_that_decides_holds_no_sentence(path: Path):
    token = re.compile(r"//[^\n]*|/\*.*?\*/|(\"(?:[^\"\\\n]|\\.)*\"|'(?:[^'\\\n]|\\.)*'|`(?:[^`\\]|\\.)*`)", re.S)
    literals = (found[1] for found in token.finditer(path.read_text(encoding="utf-8")) if found[1])
    found = [text for text in literals if is_sentence(text[1:-1])]
    assert not found, f"move to static/words.js: {found}"


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_does_not_choose_between_sentences(path: Path):
    tree = jinja2.Environment(extensions=["jinja2.ext.do"]).parse(path.read_text(encoding="utf-8"))
    chosen = [
        text.value for choice in tree.find_all(nodes.CondExpr) for text in choice.find_all(nodes.Const)
        if isinstance(text.value, str) and is_sentence(text.value)
    ]
    assert not chosen, f"let the page bring the sentence: {chosen}"


def test_no_sentence_stands_in_two_templates():  # headings and links are called alike wherever they stand
    places: dict[str, set[str]] = defaultdict(set)
    for path in TEMPLATES:
        text = re.sub(r"\{#.*?#\}|\{%.*?%\}", "\n", path.read_text(encoding="utf-8"), flags=re.S)
        for piece in re.split(r"<[^>]*>|\n", re.sub(r"\{\{.*?\}\}", "{}", text, flags=re.S)):
            if is_sentence(piece) and piece.rstrip().endswith(".") and len(piece.split()) > 5:
                places[" ".join(piece.split())].add(path.name)
    twice = {text: sorted(names) for text, names in places.items() if len(names) > 1}
    assert not twice, f"say it once, in capture/screens/words.py: {twice}"


def test_the_scan_sees_sentences_and_passes_what_is_none():
    source = '''
TOLD = "Type what the tape shows first."
LABELS = {"a": "left of the middle here"}
def decide(name):
    """This docstring has five words."""
    if not name: raise BadName(f"there is no point {name} here")
    if name == 1: raise ValueError("expected points of this shape")
    return FigureKind("roll", "Roll centre above the floor") or re.compile(r"(?:one|two) of the three")
'''
    assert [line for line, _ in sentences_in(source)] == [2, 6]
