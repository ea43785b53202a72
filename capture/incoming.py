"""What comes in over the network before the program sees it: what cannot be read is refused in one sentence, and what
is too much, or comes from who may not add, is counted and kept nowhere, so that a stranger fills neither memory nor
disk. The program then answers it like anything else: it knows how much it was.
"""

from __future__ import annotations

from collections.abc import Callable

from waitress.buffers import OverflowableBuffer
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.task import ErrorTask
from waitress.utilities import BadRequest

from capture import door_words
from capture.guards import GUARDS

MayAdd = Callable[[str, str], bool]
"""Whether a request with this Cookie and this Authorization header comes from who may add."""


class Held(OverflowableBuffer):
    """A body as it comes in. Of more than `most` bytes the rest is counted and not kept."""

    def __init__(self, overflow: int, most: int) -> None:
        super().__init__(overflow)
        self._most, self._came = most, 0

    def append(self, part: bytes) -> None:
        self._came += len(part)
        if self._came <= self._most:
            super().append(part)

    def __len__(self) -> int:
        return self._came


class Refusal(ErrorTask):
    """The answer to what never was a request."""

    def execute(self) -> None:
        error = self.request.error
        said = f"{door_words.TOO_MUCH if error.code == 413 else door_words.NO_REQUEST}\n".encode()
        self.status = f"{error.code} {error.reason}"
        self.response_headers.extend([("Content-Type", "text/plain; charset=utf-8"), *GUARDS.items()])
        self.set_close_on_finish()
        self.content_length = len(said)
        self.write(said)


def channel(may_add: MayAdd, most: int) -> type[HTTPChannel]:
    """The kind of line a server is to have. most: bytes kept of one body."""

    class Request(HTTPRequestParser):
        def received(self, data: bytes) -> int:
            try:
                return super().received(data)
            except ValueError:  # an address such as http://[ is none
                self.error, self.completed = BadRequest(""), True
                return len(data)

        def parse_header(self, header_plus: bytes) -> None:
            super().parse_header(header_plus)
            if self.body_rcv is not None:
                told = [self.headers.get(name, "") for name in ("COOKIE", "AUTHORIZATION")]
                self.body_rcv.buf = Held(self.adj.inbuf_overflow, most if may_add(*told) else 0)

    class Line(HTTPChannel):
        parser_class = Request
        error_task_class = Refusal

    return Line
