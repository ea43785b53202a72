"""What the system says about the server's process: its memory and its open files. Linux only; elsewhere None."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.conftest import LiveServer, free_port

HOST = "127.0.0.1"
MOST_MEMORY = 4 << 30
"""A server that wants more than this is stopped by the system rather than the machine by the server."""


@contextmanager
def served(whole: bool = True, **options: object) -> Iterator[LiveServer]:
    """The program serving a fresh folder; killed and cleared away at the end. whole: see `LiveServer.start`."""
    folder = Path(tempfile.mkdtemp(prefix="plumbtack-hard-"))
    server = LiveServer(folder / "data", HOST, free_port(HOST), options=dict(options))
    try:
        server.start(whole)
        bounded(server)
        yield server
    finally:
        server.stop(9)
        shutil.rmtree(folder, ignore_errors=True)


def bounded(server: LiveServer) -> None:
    """No trial may take the whole machine down."""
    try:
        import resource

        resource.prlimit(server.process.pid, resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    except (ImportError, AttributeError, OSError):
        return


def memory(server: LiveServer) -> float | None:
    """Megabytes in use."""
    try:
        status = Path(f"/proc/{server.process.pid}/status").read_text()
    except OSError:
        return None
    return int(status.partition("VmRSS:")[2].split()[0]) / 1024


def open_files(server: LiveServer) -> int | None:
    try:
        return len(os.listdir(f"/proc/{server.process.pid}/fd"))
    except OSError:
        return None
