"""A walk of 60 readings in a real browser while the network comes and goes, tabs are closed and opened again, the
browser is killed as by a dead battery and the server is killed and restarted: all of them arrive, each once."""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from capture import report
from capture.lengths import parts
from capture.vehicle_file import read_vehicle_file
from tests.conftest import LiveServer, free_port, network_host, vehicle_object

DEMO = Path(__file__).parents[2] / "demo_vehicles" / "orchard_truck.json"
PHONE = {"viewport": {"width": 360, "height": 640}, "is_mobile": True, "has_touch": True}
IN_DEGREES = ("incline", "caster", "floor_slope")
PATIENCE = 40.0
"""Seconds for the last readings to go over once all is well again: the phone pauses up to 15 between tries."""


@dataclass
class Found:
    recorded: dict[str, dict[str, Any]] = field(default_factory=dict)
    """Id of each entry the phone said it had -> the entry."""
    deeds: Counter[str] = field(default_factory=Counter)
    broken: list[str] = field(default_factory=list)


class Phone:
    """One browser with a profile on disk, so that what it stored outlives it."""

    def __init__(self, chromium: Any, browser: str | None, profile: Path, server: LiveServer, vehicle: str) -> None:
        from playwright.sync_api import TimeoutError as TooLate

        self._too_late = TooLate
        self._chromium, self._browser, self._profile = chromium, browser, profile
        self.server, self.address = server, f"{server.base}/vehicles/{vehicle}/measure"
        self.offline, self.not_opened = False, 0
        self.faults: list[str] = []
        self._switch_on()
        self.page.goto(server.way_in)
        self._open()

    def _switch_on(self) -> None:
        self.context = self._chromium.launch_persistent_context(
            str(self._profile), executable_path=self._browser, args=["--no-sandbox"], **PHONE)
        self.context.set_offline(self.offline)
        self._listen(self.context.pages[0])

    def _listen(self, page: Any) -> None:
        self.page = page
        page.on("pageerror", lambda fault: self.faults.append(str(fault)))

    def _open(self) -> None:
        """Opens the walk; where the browser has not kept all of it (a killed one forgets pages and cookies that it had
        not yet written down), once the laptop can be reached and has let the phone in again."""
        from playwright.sync_api import Error

        try:
            self.page.goto(self.address)
            self.page.wait_for_selector("[data-ready]", timeout=8000)
        except Error:
            self.not_opened += 1
            self.all_is_well()
            self.page.goto(self.server.way_in)
            self.page.goto(self.address)
            self.page.wait_for_selector("[data-ready]")
        if not self.offline and self.server.process:
            self.page.wait_for_selector("[data-kept]")

    def toggle(self) -> None:
        self.offline = not self.offline
        self.context.set_offline(self.offline)

    def all_is_well(self) -> None:
        """Network and laptop are there again."""
        if not self.server.process:
            self.server.start()
        if self.offline:
            self.toggle()

    def another_tab(self) -> None:
        """The tab is closed and the walk opened in another one, whether or not the laptop can be reached."""
        before = self.page
        self._listen(self.context.new_page())
        before.close()
        self._open()

    def dead_battery(self) -> None:
        """The browser's processes are killed; with the phone on again the page is opened anew."""
        for pid in self._processes():
            os.kill(pid, signal.SIGKILL)
        with contextlib.suppress(Exception):  # what is gone cannot be closed
            self.context.close()
        for lock in self._profile.glob("Singleton*"):
            lock.unlink(missing_ok=True)
        self._switch_on()
        self._open()

    def _processes(self) -> list[int]:
        own = f"--user-data-dir={self._profile}".encode()
        found = []
        for folder in Path("/proc").glob("[0-9]*"):
            try:
                if own in (folder / "cmdline").read_bytes():
                    found.append(int(folder.name))
            except OSError:
                continue
        return found

    def ask(self, script: str) -> Any:
        return self.page.evaluate(script)

    def until(self, true: str, seconds: float) -> bool:
        ends = time.monotonic() + seconds
        while time.monotonic() < ends:
            if self.ask(f"Boolean({true})"):
                return True
            self.page.wait_for_timeout(30)
        return False

    def record(self, values: Any, found: Found) -> None:
        """Reads the step in view as a person would, and notes the entry once the page has gone on."""
        step = self.ask("plumbtack.measure.state.step.reading")
        held = self.ask("plumbtack.measure.outbox.rows.length")
        value = values(step)
        self._type(step, value)
        self.page.keyboard.press("Enter")
        went = f"plumbtack.measure.outbox.rows.length > {held} && !plumbtack.measure.state.saving"
        if not self.until(f"({went}) || !plumbtack.measure.dom.remark.hidden", 10):
            found.broken.append(f"not recorded: {step}, {value}: {self.page.locator('.val').inner_text()}")
            return
        if not self.ask(went):
            self.page.locator(".remark [data-do=keep]").tap()
            self.until(went, 10)
        entry = self.ask(f"plumbtack.measure.outbox.rows.map(row => row.entry).find((entry, at) => at === {held})")
        if entry["reading"] != step:
            found.broken.append(f"recorded at another reading: {step}, {entry}")
        found.recorded[entry["id"]] = entry

    def _type(self, step: str, value: float) -> None:
        if step.startswith(IN_DEGREES):
            self.page.locator(f'.pad [data-side="{"-" if value < 0 else "+"}"]').tap()
            self.page.keyboard.type(f"{abs(value):.1f}")
            return
        sides = self.page.locator(".step:not([hidden]) .sides")
        if sides.is_visible():
            with contextlib.suppress(self._too_late):  # the page is sure of the side meanwhile and asks no more
                sides.locator(f'[data-side="{"-" if value < 0 else "+"}"]').tap(timeout=3000)
        self.page.keyboard.type(str(parts(abs(value))))


def run(chromium: Any, browser: str | None, readings: int = 60, seed: int = 1, trouble: float = 0.5) -> Found:
    """trouble: how often something happens before a reading."""
    luck, found, host = random.Random(seed), Found(), network_host()
    folder = Path(tempfile.mkdtemp(prefix="plumbtack-walk-"))
    server = LiveServer(folder / "data", host, free_port(host))
    server.start()
    phone = None
    try:
        vehicle = server.ask("/vehicles", vehicle_object(display_unit="in", facts={"brake_share_front": 0.62}))["id"]
        values = true_values()
        phone = Phone(chromium, browser, folder / "profile", server, vehicle)
        while len(found.recorded) < readings and not found.broken:
            if luck.random() < trouble:
                _happens(luck, phone, server, found)
            phone.record(values, found)
        phone.all_is_well()
        phone.another_tab()
        found.deeds["not opened"] = phone.not_opened
        if not phone.until("plumbtack.measure.outbox.rows.every(row => row.landed)", PATIENCE):
            found.broken.append("not everything went over")
        found.broken += [f"the page's script: {fault}" for fault in phone.faults]
        found.broken += _arrived(server, vehicle, found)
    finally:
        if phone is not None:
            phone.context.close()
        server.stop(signal.SIGKILL)
        shutil.rmtree(folder, ignore_errors=True)
    return found


def _happens(luck: random.Random, phone: Phone, server: LiveServer, found: Found) -> None:
    deed = luck.choice(("network", "network", "server", "server", "tab", "battery", "wait"))
    found.deeds[deed] += 1
    if deed == "network":
        phone.toggle()
    elif deed == "server" and server.process:
        server.stop(luck.choice((signal.SIGKILL, signal.SIGTERM)))
    elif deed == "server":
        server.start()
    elif deed == "tab":
        phone.another_tab()
    elif deed == "battery":
        phone.dead_battery()
    else:
        phone.page.wait_for_timeout(luck.random() * 3000)


def _arrived(server: LiveServer, vehicle: str, found: Found) -> list[str]:
    """What is lost, twice, foreign, or another reading than the phone recorded."""
    stored = server.ask(f"/vehicles/{vehicle}/file")["entries"]
    counts = Counter(entry["id"] for entry in stored)
    broken = [f"lost: {entry['reading']}" for name, entry in found.recorded.items() if not counts[name]]
    broken += [f"twice: {name}" for name, count in counts.items() if count > 1]
    broken += [f"nobody recorded it: {name}" for name in counts if name not in found.recorded]
    broken += [f"arrived as another: {entry}" for entry in stored if not _as_recorded(entry, found)]
    readings = Counter(entry["reading"] for entry in stored)
    broken += [f"taken twice: {name}" for name, count in readings.items() if count > 1]
    return broken


def _as_recorded(entry: dict[str, Any], found: Found) -> bool:
    """The same reading, value, words and unit as on the phone, where it is one of the phone's."""
    there = found.recorded.get(entry["id"], entry)
    return all(entry.get(key) == there.get(key) for key in ("reading", "value", "text", "unit", "stage", "at"))


def true_values() -> Any:
    """What each reading shows on one and the same invented truck: the demo truck as its own fit has it."""
    fitted = report.build(read_vehicle_file(DEMO.read_text(encoding="utf-8"), "demo")).fit
    return lambda reading: float(fitted.predict([reading])[0][0])


def main() -> int:
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import browser_path

    asked = argparse.ArgumentParser(prog="python -m tests.hard.flaky_walk", description=__doc__)
    asked.add_argument("--readings", type=int, default=60)
    asked.add_argument("--walks", type=int, default=3)
    asked.add_argument("--seed", type=int, default=1)
    chosen = asked.parse_args()
    broken = []
    with sync_playwright() as started:
        for seed in range(chosen.seed, chosen.seed + chosen.walks):
            began = time.monotonic()
            found = run(started.chromium, browser_path(), chosen.readings, seed)
            broken += found.broken
            print(f"walk {seed}: {len(found.recorded)} readings in {time.monotonic() - began:.0f} s amid "
                  f"{json.dumps(found.deeds)}", flush=True)
    print("\n".join(broken[:20]) or "all of them arrived, each once")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
