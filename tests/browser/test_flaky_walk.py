"""The long trial of tests/hard in short: some readings while network, tabs, browser and server come and go."""

from __future__ import annotations

from typing import Any

from tests.browser.conftest import browser_path
from tests.hard import flaky_walk


def test_readings_taken_while_everything_comes_and_goes_arrive_once(chromium: Any):
    found = flaky_walk.run(chromium.browser_type, browser_path(), readings=14, seed=3, trouble=0.7)
    assert found.broken == [] and len(found.recorded) == 14
    assert len(found.deeds) >= 4, found.deeds
