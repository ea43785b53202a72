"""What the server's threads have freed is used again by the others, where the C library is glibc."""

from __future__ import annotations

import platform
import subprocess
import sys

import pytest

COUNTED = """
import ctypes, sys, tempfile, threading
from capture import memory
if sys.argv[1] == "little":
    memory.hold_little()
system, together = ctypes.CDLL(None), threading.Barrier(16)
def work():
    together.wait()
    bytearray(5000)
    together.wait()
threads = [threading.Thread(target=work) for _ in range(16)]
for thread in threads: thread.start()
for thread in threads: thread.join()
with tempfile.NamedTemporaryFile() as said:
    system.fopen.restype = ctypes.c_void_p
    there = ctypes.c_void_p(system.fopen(said.name.encode(), b"w"))
    system.malloc_info(0, there)
    system.fclose(there)
    print(said.read().count(b"<heap nr="))
"""
"""Sixteen threads that all ask for memory at one time, and how many heaps the C library then keeps."""


def heaps(how: str) -> int:
    return int(subprocess.run([sys.executable, "-c", COUNTED, how], capture_output=True, check=True, text=True).stdout)


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="another C library keeps one heap")
def test_threads_share_two_heaps_where_the_c_library_would_give_each_its_own():
    assert heaps("little") <= 2 < heaps("as usual")
