"""A browser on the phone's and the bench's screen. Without one the tests skip and say why; in CI that is a failure."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

PLACES = ("chromium", "chromium-browser", "google-chrome", "chrome")


def browser_path() -> str | None:
    """A Chromium of this machine, or None to let playwright use its own."""
    return next((found for name in PLACES if (found := shutil.which(name))), None)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """One Chromium for all browser tests."""
    try:
        from playwright.sync_api import Error, sync_playwright
    except ImportError as missing:
        without(f"no browser to test with: {missing}")
    with sync_playwright() as started:
        try:
            browser = started.chromium.launch(executable_path=browser_path(), args=["--no-sandbox"])
        except Error as trouble:
            without(f"no browser to test with: {str(trouble).splitlines()[0]}")
        yield browser
        browser.close()


def without(said: str) -> None:
    """What a check needs is not there: skipped saying so, but under CI it must run."""
    if os.environ.get("CI"):
        pytest.fail(said)
    pytest.skip(said)


@pytest.fixture(scope="session")
def pictures() -> Path | None:
    """Where to keep a picture of every screen, when PLUMBTACK_PICTURES names a folder."""
    folder = os.environ.get("PLUMBTACK_PICTURES")
    return Path(folder) if folder else None
