"""Modules that are loaded when something of them is first used, so that nobody waits for what is not asked for.

One name at the head of a module, `words = later("capture.screens.words")`, in place of imports inside functions.
"""

from __future__ import annotations

from importlib import import_module
from types import ModuleType
from typing import Any


class Later(ModuleType):
    """Stands for the module of its name and has all that is in it. Safe between threads: the import itself is."""

    def __getattr__(self, name: str) -> Any:
        return getattr(import_module(self.__name__), name)


def later(name: str) -> Any:
    """The module of this full name, not loaded yet."""
    return Later(name)
