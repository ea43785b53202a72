"""A byte of the store's file, or of the log of its last commits, that is not the one written: never taken for good.

Every page is damaged in turn, one byte at a time. Either nothing that is stored reads otherwise, or the store is
refused in one sentence; nothing else. The very last commits of a log are left out: in pieces they look as a power cut
leaves a commit that nobody was told of.
"""

from __future__ import annotations

import argparse
import json
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from capture.pairing import Pairing
from capture.store import Store, StoreRefused
from capture.store_file import FILE_NAME
from capture.vehicle_file import check_entries, read_vehicle_file, write_vehicle_file
from tests.conftest import reading_object, vehicle_object
from tests.samples.__main__ import filled

PAGE = 4096
LOG_NAME = FILE_NAME + "-wal"


@dataclass
class Found:
    refused: int = 0
    unharmed: int = 0
    """Bytes that hold nothing: gaps within pages, and numbers that SQLite works out anew."""
    sentences: Counter[str] = field(default_factory=Counter)
    broken: list[str] = field(default_factory=list)


def run(each: int, seed: int = 1) -> Found:
    """each: bytes of every page, one at a time."""
    found, luck = Found(), random.Random(seed)
    with tempfile.TemporaryDirectory(prefix="plumbtack-flipped-") as name:
        for whole, told in (_at_rest(Path(name) / "rest"), _killed(Path(name) / "killed")):
            wanted = _read(whole, Path(name) / "copy")
            for file, size in told.items():
                for at in _places(size, each, luck):
                    content = bytearray((whole / file).read_bytes())
                    content[at] ^= luck.randrange(1, 256)
                    copy = Path(name) / "copy"
                    with _copied(whole, copy):
                        (copy / file).write_bytes(content)
                        _try(copy, wanted, f"{whole.name}: {file}, byte {at}", found)
    return found


def _places(size: int, each: int, luck: random.Random) -> Iterator[int]:
    for start in range(0, size, PAGE):
        there = min(PAGE, size - start)
        yield from (start + at for at in luck.sample(range(there), min(each, there)))


def _at_rest(folder: Path) -> tuple[Path, dict[str, int]]:
    """A store with many types of entries and a photo, as a clean stop leaves it, and the bytes to damage."""
    store = Store(folder)
    Pairing(store)
    filled(store)
    store.close()
    return folder, {FILE_NAME: (folder / FILE_NAME).stat().st_size}


def _killed(folder: Path) -> tuple[Path, dict[str, int]]:
    """A store as a kill leaves it, what came in last in the log beside the file, and the bytes to damage."""
    store = Store(folder / "serving")
    Pairing(store)
    vehicle_id = store.create(read_vehicle_file(json.dumps(vehicle_object()), "sample"))
    sizes = []
    for number in range(12):
        sizes.append((folder / "serving" / LOG_NAME).stat().st_size)
        store.add_entries(vehicle_id, check_entries([reading_object(number)], store.head(vehicle_id)))
    left = folder / "left"
    left.mkdir()
    for name in (FILE_NAME, LOG_NAME):
        shutil.copy(folder / "serving" / name, left)
    store.close()
    return left, {FILE_NAME: (left / FILE_NAME).stat().st_size, LOG_NAME: sizes[-2]}


@contextmanager
def _copied(whole: Path, copy: Path) -> Iterator[None]:
    shutil.copytree(whole, copy)
    try:
        yield
    finally:
        shutil.rmtree(copy)


def _read(whole: Path, copy: Path) -> Any:
    with _copied(whole, copy):
        store = Store(copy)
        try:
            return _said(store)
        finally:
            store.close()


def _said(store: Store) -> Any:
    """All that is stored."""
    vehicles = [
        (line, write_vehicle_file(store.vehicle(line.id)), [store.photo(line.id, p) for p in store.photos(line.id)])
        for line in store.vehicles()
    ]
    pairing = Pairing(store)
    return vehicles, pairing.key, pairing.guest_key


def _try(copy: Path, wanted: Any, where: str, found: Found) -> None:
    try:
        store = Store(copy)
    except StoreRefused as refused:
        found.refused += 1
        said = str(refused).replace(str(copy / FILE_NAME), "FILE")
        found.sentences[said] += 1
        if "\n" in said or ". " in said or not said.endswith("."):
            found.broken.append(f"{where}: no sentence: {said}")
        return
    except Exception as trouble:
        found.broken.append(f"{where}: at the start {trouble!r}"[:300])
        return
    try:
        if _said(store) == wanted:
            found.unharmed += 1
        else:
            found.broken.append(f"{where}: reads otherwise")
    except Exception as trouble:
        found.broken.append(f"{where}: taken for good, then {trouble!r}"[:300])
    finally:
        store.close()


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.hard.flipped_bytes", description=__doc__)
    asked.add_argument("--each", type=int, default=400, help="bytes of every page")
    asked.add_argument("--seed", type=int, default=1)
    chosen = asked.parse_args()
    began = time.monotonic()
    found = run(chosen.each, chosen.seed)
    print(f"{found.refused} refused and {found.unharmed} without harm in {time.monotonic() - began:.0f} s")
    for said, count in found.sentences.most_common():
        print(f"  {count:6} {said}")
    print(f"{len(found.broken)} broken")
    print("\n".join(found.broken[:20]) or "no damage was taken for good")
    return 1 if found.broken else 0


if __name__ == "__main__":
    sys.exit(main())
