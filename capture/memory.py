"""How the server holds memory."""

from __future__ import annotations

import ctypes
import gc
import sys

M_TRIM_THRESHOLD, M_MMAP_THRESHOLD, M_ARENA_MAX = -1, -3, -8
"""Of glibc's malloc.h."""
ARENAS = 2
RETURNED_FROM = 8 * 1024 * 1024
"""Bytes: a piece this large goes back to the system as soon as it is free, and so does as much at the heap's end."""


def hold_little() -> None:
    """Keeps what threads have freed from piling up, where the C library is glibc; elsewhere it does nothing.

    glibc gives every thread that meets another one at malloc a heap of its own, up to eight for each core, and what one
    request freed there no other thread ever uses. One thread runs Python at a time here, so two heaps are as quick. It
    also learns from large pieces that were freed to keep larger and larger ones; with both thresholds set it does not.
    """
    if sys.platform != "linux":
        return
    try:
        mallopt = ctypes.CDLL(None).mallopt
    except (OSError, AttributeError):  # another C library, such as musl, which keeps one heap anyway
        return
    mallopt(M_ARENA_MAX, ARENAS)
    mallopt(M_MMAP_THRESHOLD, RETURNED_FROM)
    mallopt(M_TRIM_THRESHOLD, RETURNED_FROM)


LOOKED_FROM = 5_000
"""Objects more than before from which rubbish that leads back to itself is looked for; Python's own is 700."""


def look_seldom() -> None:
    """Once the whole program is there: what it is made of is never rubbish, and need not be looked through again.

    A look through everything takes as long as answering a screen, so with thousands of readings held it comes seldom.
    """
    gc.freeze()
    gc.set_threshold(LOOKED_FROM, 10, 10)
