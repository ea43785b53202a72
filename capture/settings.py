"""What one run of the server is told."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from capture import serve_words

MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class Address:
    """One way to reach this machine. url: http://HOST:PORT; network: the interface's name, where it is known."""

    url: str
    network: str = ""


@dataclass(frozen=True)
class Settings:
    """Where the data is, who may ask, and how much at once."""

    data: Path
    """The folder of the store."""
    allowed_hosts: tuple[str, ...] = ("localhost",)
    """Values of the Host header that are answered, with the port unless it is 80."""
    addresses: tuple[Address, ...] = ()
    """Where a phone may reach this machine, the likeliest first; empty without a network."""
    demo: bool = False
    """True when the data is a throwaway copy of the demo vehicles."""
    largest_entries: int = 2 * MEGABYTE
    """Bytes in one post of entries."""
    largest_file: int = 20 * MEGABYTE
    """Bytes in one vehicle file."""
    largest_photo: int = 20 * MEGABYTE
    """Bytes of one photo as a phone sends it."""
    largest_zip: int = 64 * MEGABYTE
    """Bytes of a vehicle file with its photos."""
    most_entries: int = 5000
    """Entries in one post."""

    @property
    def notice(self) -> str | None:
        """One sentence every page shows at its head, if there is one."""
        return serve_words.THROWAWAY if self.demo else None
