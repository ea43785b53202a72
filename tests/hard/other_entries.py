"""What phones send besides readings: notes, begun stages, holes, aims, plans, kept doubts, photos with pictures."""

from __future__ import annotations

import hashlib
import io
from functools import cache
from typing import Any

CYCLE = ("note", "begin", "holes", "aims", "move_plan", "keep", "photo")
BOUNDARY = "made-by-a-made-phone"


def other_entry(phone: str, number: int, of: dict[str, Any]) -> dict[str, Any]:
    """The entry of this number that is no reading, a type after the other. of: a reading of this phone's."""
    kind = CYCLE[number % len(CYCLE)]
    entry = {"id": f"{phone}-else-{number:06d}", "at": of["at"], "type": kind, **_particular(kind, of)}
    return {"stage": "mock_up"} | entry


def _particular(kind: str, of: dict[str, Any]) -> dict[str, Any]:
    reaching = {"low": [-40.0, -40.0, -40.0], "high": [40.0, 40.0, 40.0]}
    parts: dict[str, dict[str, Any]] = {
        "note": {"reading": of["reading"], "note": "read twice, the same"},
        "begin": {"stage": "setting_1", "name": "two inches lower"},
        "holes": {"point": "lower_left.frame", "places": [[0.0, 0.0, 0.0], [0.0, 0.0, 25.0]], "used": 0},
        "aims": {"wants": [{"figure": "anti_dive", "low": 20.0}], "rooms": [{"point": "upper.frame", **reaching}]},
        "move_plan": {"name": "up a hole", "moves": [{"move": "point_by", "point": "upper.frame", "by": [0, 0, 25.0]}]},
        "keep": {"of": [of["id"]], "doubt": "w_test", "beyond": 3.5, "note": "measured three times"},
        "photo": {"sha256": hashlib.sha256(of["id"].encode()).hexdigest(), "width": 640, "height": 480},
    }
    return parts[kind]


@cache
def picture() -> bytes:
    """A small JPEG that no two neighbouring pixels of are the same."""
    from PIL import Image

    shades = bytes((7 * number + number // 160 * 31) % 256 for number in range(160 * 120))
    kept = io.BytesIO()
    Image.frombytes("L", (160, 120), shades).save(kept, "JPEG", quality=80)
    return kept.getvalue()


def photo_form(entry_id: str, content: bytes) -> tuple[bytes, dict[str, str]]:
    """The form a photo comes in, as the page's script sends it: its body and its headers."""
    fields = {"id": entry_id, "stage": "mock_up", "point": "lower_left.frame", "note": "upper hole"}
    parts = [f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
             for name, value in fields.items()]
    parts.append(f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n'
                 "Content-Type: image/jpeg\r\n\r\n".encode() + content + b"\r\n")
    body = b"".join(parts) + f"--{BOUNDARY}--\r\n".encode()
    return body, {"Content-Type": f"multipart/form-data; boundary={BOUNDARY}", "Accept": "application/json"}
