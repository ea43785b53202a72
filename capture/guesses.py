"""Slows down whoever tries keys: after a few that do not fit, an address has to wait, each time twice as long."""

from __future__ import annotations

import ipaddress
import math
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

FREE = 5
"""Tries without a wait: an old code scanned again, a word typed with a slip."""
LONGEST_SECONDS = 60.0
FORGOTTEN_SECONDS = 900.0
MOST_ADDRESSES = 1000
"""Held in memory; beyond it the one that was quiet longest goes."""


@dataclass
class _Tries:
    count: int = 0
    latest: float = 0.0
    until: float = 0.0


class Guesses:
    """Safe to share between threads."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._tries: OrderedDict[str, _Tries] = OrderedDict()
        self._guard = threading.Lock()

    def __len__(self) -> int:
        return len(self._tries)

    def wait(self, address: str) -> int:
        """Whole seconds this address still has to wait; 0: none."""
        with self._guard:
            tries = self._tries.get(_network(address))
            return max(0, math.ceil(tries.until - self._clock())) if tries else 0

    def missed(self, address: str) -> int:
        """Counts a key that did not fit; the seconds to wait from now. A try during a wait does not prolong it."""
        now = self._clock()
        with self._guard:
            name = _network(address)
            tries = self._tries.get(name)
            if tries is None or now - tries.latest > FORGOTTEN_SECONDS:
                tries = self._tries[name] = _Tries()
            self._tries.move_to_end(name)
            while len(self._tries) > MOST_ADDRESSES:
                self._tries.popitem(last=False)
            tries.latest = now
            if now >= tries.until:
                tries.count += 1
                if tries.count > FREE:
                    tries.until = now + min(2.0 ** (tries.count - FREE - 1), LONGEST_SECONDS)
            return max(0, math.ceil(tries.until - now))


def _network(address: str) -> str:
    """Who counts as one: an IPv4 address, or the 64 leading bits of an IPv6 one, which one machine has whole."""
    try:
        there = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return ""
    mapped = getattr(there, "ipv4_mapped", None)
    if there.version == 4 or mapped:
        return str(mapped or there)
    return str(ipaddress.ip_network((there, 64), strict=False))
