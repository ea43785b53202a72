"""Where things are: the person's data on this machine, and the files that travel with the program."""

from __future__ import annotations

import os
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent


def data_folder(platform: str = sys.platform) -> Path:
    """The usual folder for a person's own data on this kind of machine; it need not exist yet."""
    home = Path.home()
    if platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / "Plumbtack"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "Plumbtack"
    return Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share") / "plumbtack"


def static_folder() -> Path:
    """Stylesheet, scripts and the vendored file."""
    return _travelling("static")


def demo_vehicles() -> tuple[Path, ...]:
    """The invented vehicle files, in the order of their names."""
    return tuple(sorted(_travelling("demo_vehicles").glob("*.json")))


def upgrades_folder() -> Path:
    """The numbered SQL steps of the store."""
    return HERE / "upgrades"


def _travelling(name: str) -> Path:
    """A folder that stands beside the package in a checkout and inside it once installed from a wheel."""
    inside = HERE / name
    return inside if inside.is_dir() else HERE.parent / name
