"""What the page of photos says."""

from __future__ import annotations

TO_THE_READING = "Back to the reading"
TO_THE_POINT = "Back to the point"
TOO_LARGE_TITLE = "That photo is too large"


def too_large(size: int, most: int) -> str:
    return f"This photo has {size} MB; {most} MB is the most. Choose a smaller size in the camera."
