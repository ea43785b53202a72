"""The walls between the rooms: geometry knows nothing of web, store or pages; capture does no sums."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
ROOMS = ("geometry", "capture")
BANNED = {
    "geometry": {*("flask", "jinja2", "werkzeug", "sqlite3", "capture"), *("pathlib", "os", "io", "time", "datetime")},
    "capture": {"numpy", "scipy"},
}
ALLOWED_IN_GEOMETRY = {"numpy", "pydantic", "geometry", *sys.stdlib_module_names}


def modules(room: str) -> list[Path]:
    return sorted((ROOT / room).rglob("*.py"))


def imported(path: Path) -> Iterator[str]:
    """The first word of everything a module imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name.partition(".")[0] for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield (node.module or "").partition(".")[0]


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_imports_nothing_from_beyond_its_wall(room: str) -> None:
    found = modules(room)
    assert len(found) > 5
    crossed = {(path.name, name) for path in found for name in imported(path) if name in BANNED[room]}
    assert crossed == set()


def test_every_package_and_what_lies_beside_its_modules_is_named_for_the_wheel() -> None:
    named = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    inside = (path.parent for room in ROOMS for path in (ROOT / room).rglob("__init__.py"))
    there = {".".join(folder.relative_to(ROOT).parts) for folder in inside}
    carried = {"capture.static", "capture.static.vendor", "capture.demo_vehicles"}
    assert there | carried == set(named["packages"])
    folders = {"capture.static": "static", "capture.static.vendor": "static/vendor"} | named["package-dir"]
    brought = {
        path
        for package, patterns in named["package-data"].items()
        for pattern in patterns
        for path in (ROOT / folders.get(package, package.replace(".", "/"))).glob(pattern)
    }
    lying = (path for room in (*ROOMS, "static") for path in (ROOT / room).rglob("[!.]*.*"))
    left = {path.suffix for path in lying if path not in brought and ".ruff_cache" not in path.parts}
    left -= {".py", ".pyc", ".toml"}
    assert left == set()


def test_geometry_needs_numpy_and_pydantic_and_nothing_else_to_install() -> None:
    strangers = {name for path in modules("geometry") for name in imported(path)} - ALLOWED_IN_GEOMETRY
    assert strangers == set()


def test_importing_all_of_geometry_in_a_fresh_python_loads_no_web_and_no_store() -> None:
    dotted = [".".join(path.relative_to(ROOT).with_suffix("").parts) for path in modules("geometry")]
    names = [name.removesuffix(".__init__") for name in dotted]
    script = "\n".join(["import sys", *(f"import {name}" for name in names), "print(sorted(sys.modules))"])
    command = [sys.executable, "-c", script]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True, timeout=60)
    loaded = set(ast.literal_eval(done.stdout))
    assert "geometry.fit" in loaded
    assert not {"flask", "jinja2", "sqlite3", "werkzeug", "capture"} & loaded


@pytest.mark.parametrize(("room", "line"), [("geometry", "import flask\n"), ("capture", "import numpy\n")])
def test_the_lint_rule_sees_a_breach(room: str, line: str) -> None:
    lint = [sys.executable, "-m", "ruff", "check", "--select", "TID251"]
    command = [*lint, "--stdin-filename", f"{room}/breach.py", "-"]
    done = subprocess.run(command, cwd=ROOT, input=line, capture_output=True, text=True, timeout=60)
    assert done.returncode == 1
    assert "TID251" in done.stdout
