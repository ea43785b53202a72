"""What the server keeps of a body while it comes in, and what it refuses before the program sees it."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from waitress.adjustments import Adjustments

from capture.incoming import Held, channel

MOST = 1000


def request(may_add: bool = True, most: int = MOST) -> Any:
    """One request as the server begins to read it."""
    return channel(lambda cookie, authorization: may_add, most).parser_class(Adjustments())


def body_of(asking: Any, *parts: bytes) -> bytes:
    for part in parts:
        assert asking.received(part) == len(part)
    assert asking.completed and asking.error is None
    found = asking.get_body_stream().read()
    asking.close()
    return found


def fixed(size: int) -> bytes:
    return f"POST / HTTP/1.1\r\nContent-Length: {size}\r\n\r\n".encode()


CHUNKED = b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n"


def chunk(part: bytes) -> bytes:
    return f"{len(part):x}\r\n".encode() + part + b"\r\n"


def test_a_body_of_who_may_add_comes_in_whole():
    assert body_of(request(), fixed(MOST), b"a" * 600, b"b" * 400) == b"a" * 600 + b"b" * 400
    assert body_of(request(), CHUNKED, chunk(b"a" * 600), chunk(b"b" * 400), chunk(b"")) == b"a" * 600 + b"b" * 400


def test_of_a_strangers_body_nothing_is_kept():
    assert body_of(request(may_add=False), fixed(5000), *[b"a" * 1000] * 5) == b""
    assert body_of(request(may_add=False), CHUNKED, chunk(b"a" * 5000), chunk(b"")) == b""


def test_of_a_body_that_is_too_much_no_more_is_kept_than_may_be_and_its_size_is_told():
    asking = request()
    assert len(body_of(asking, CHUNKED, *[chunk(b"a" * 400)] * 5, chunk(b""))) <= MOST
    assert asking.headers["CONTENT_LENGTH"] == "2000"
    held = Held(100, MOST)
    for _ in range(100):
        held.append(b"a" * 400)
    assert len(held) == 40_000 and len(held.getfile().read()) <= MOST
    held.close()


@pytest.mark.parametrize("who", ["adds", "looks", "guessed", ""])
@pytest.mark.parametrize("way", ["bearer", "cookie"])
def test_only_the_key_of_who_adds_has_its_bodies_kept(app: Flask, who: str, way: str):
    pairing = app.extensions["plumbtack"].pairing
    key = {"adds": pairing.key, "looks": pairing.guest_key}.get(who, who)
    cookie = f"other=1; {pairing.cookie}={key}" if way == "cookie" else ""
    assert pairing.may_add(cookie, f"Bearer {key}" if way == "bearer" else "") is (who == "adds")


def test_after_a_new_key_the_old_ones_bodies_are_not_kept(app: Flask):
    pairing = app.extensions["plumbtack"].pairing
    old = pairing.key
    pairing.renew()
    assert not pairing.may_add("", f"Bearer {old}") and pairing.may_add("", f"Bearer {pairing.key}")


@pytest.mark.parametrize("line", [b"GET http://[ HTTP/1.1\r\n\r\n", b"GET\r\n\r\n", b"\0 \0\r\n\r\n"])
def test_what_is_no_request_is_refused_and_is_no_fault(line: bytes):
    asking = request()
    asking.received(line)
    assert asking.completed and asking.error.code == 400
