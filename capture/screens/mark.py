"""A short text that stands for what is shown, so that who has it need not be sent it again."""

from __future__ import annotations

import hashlib


def mark_of(shown: str) -> str:
    """Of any text or markup; another for another one: 15 hexadecimal digits."""
    return hashlib.sha256(shown.encode("utf-8", "surrogatepass")).hexdigest()[:15]
