"""Serving the garage: a port, an address and its square code for the phone, and a clean stop."""

from __future__ import annotations

import errno
import logging
import os
import shutil
import signal
import socket
import sys
import tempfile
from _thread import interrupt_main
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

from waitress.server import create_server

from capture import create_app, memory, places, qr, serve_words
from capture.cli_files import Refused
from capture.cli_out import printing
from capture.incoming import channel
from capture.json_text import BadFile
from capture.later import later
from capture.networks import networks
from capture.opening import Opening
from capture.pairing import Pairing, pairing_key
from capture.settings import MEGABYTE, Address, Settings
from capture.store_errors import StoreError
from capture.store_settings import StoreSettings

if TYPE_CHECKING:
    from flask import Flask

backups = later("capture.backups")
vehicle_file = later("capture.vehicle_file")

PORT = 8021
PORTS_TRIED = 50
THREADS = 24  # more than may wait to write, so that reading goes on (`store_file.MOST_IN_LINE`)
MOST_CONNECTIONS = 400  # well below what any system's select() takes
IDLE_SECONDS = 30  # a line on which nothing comes is cut, so that a few hundred of them keep nobody out for long
READ_PAST = 1024 * MEGABYTE  # of a body too large: who sent it would else see a line cut, not what is wrong
FORM_AROUND = 8192  # bytes of a form around the largest file it takes
EVERYWHERE = "0.0.0.0"


def run(
    data: Path | None = None,
    host: str | None = None,
    port: int | None = None,
    demo: bool = False,
    print_key: bool = False,
    new_key: bool = False,
) -> int:
    """Serves until Ctrl-C or SIGTERM. Returns the exit status: 0 after a clean stop, 2 when it could not start."""
    try:
        if print_key:
            return _print_key(data, demo, new_key)
        with ExitStack() as stack:
            folder = stack.enter_context(_throwaway_folder()) if demo else data or places.data_folder()
            with _stopped_by_signals():
                _serve(stack, folder, host, PORT if port is None else port, demo, new_key)
            _say(serve_words.DEMO_STOPPED if demo else serve_words.STOPPED)
            return 0
    except (StoreError, BadFile, CannotServe, Refused) as trouble:
        print(trouble, file=sys.stderr)
        return 2


class CannotServe(Exception):
    """The server cannot start, in one sentence."""


def _print_key(data: Path | None, demo: bool, new_key: bool) -> int:
    if demo:
        raise CannotServe(serve_words.DEMO_KEY)
    with closing(StoreSettings(data or places.data_folder())) as store:
        if new_key:
            store.hold()  # a running server would go on with the old one
            Pairing(store).renew()
        with printing():
            print(pairing_key(store))
    return 0


def _serve(stack: ExitStack, folder: Path, host: str | None, port: int, demo: bool, new_key: bool) -> None:
    memory.hold_little()
    listener = stack.enter_context(listen(host or EVERYWHERE, port))
    chosen = listener.getsockname()[1]
    addresses = addresses_of(host, chosen)
    settings = Settings(folder, allowed_hosts(host, chosen, addresses), addresses, demo=demo)
    store = StoreSettings(folder)
    stack.callback(store.close)
    store.hold()
    pairing = Pairing(store)
    if new_key:
        pairing.renew()
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a short queue is nothing a person must read
    opening = Opening(settings, pairing, lambda: _whole(stack, settings, pairing))
    server = create_server(
        opening,
        sockets=[listener],
        threads=THREADS,
        ident=None,
        max_request_body_size=READ_PAST,
        connection_limit=MOST_CONNECTIONS,
        channel_timeout=IDLE_SECONDS,
        cleanup_interval=10,
    )
    server.channel_class = channel(pairing.may_add, settings.largest_zip + FORM_AROUND)
    if port not in (0, chosen):
        _say(serve_words.port_taken(port, chosen))
    _greet(settings, pairing, _url(_own_host(host), chosen))
    _say(serve_words.RUNNING)
    try:
        opening.start(failed=interrupt_main)
        server.run()  # returns once a signal has come and the requests under way are answered
    finally:
        opening.end()
        if opening.trouble is not None:
            raise opening.trouble


def _whole(stack: ExitStack, settings: Settings, pairing: Pairing) -> Flask:
    """The whole program over the store that is open already, with the demo's vehicles or with backups."""
    app = create_app(settings, pairing)
    store = app.extensions["plumbtack"].store
    stack.callback(store.close)
    if settings.demo:
        for path in places.demo_vehicles():
            store.create(vehicle_file.read_vehicle_file(path.read_bytes(), path.name))
    else:
        watch = backups.Backups(store)
        watch.start()
        stack.callback(watch.stop)
    memory.look_seldom()
    return app


def listen(host: str, port: int) -> socket.socket:
    """A listening socket on this port or the next free one. Port 0 lets the machine choose.

    Raises CannotServe when the host is not this machine's, or no port near is free.
    """
    try:
        family, _, _, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except (OSError, OverflowError, UnicodeError):
        raise CannotServe(serve_words.not_served(host, port)) from None
    for candidate in range(port, min(port + PORTS_TRIED, 65536)):
        listener = socket.socket(family, socket.SOCK_STREAM)
        if os.name == "nt":  # there, reuse would let two programs answer on one port
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:  # restarting must not wait for the last run's connections to fade
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((place[0], candidate, *place[2:]))
            listener.listen(128)
            return listener
        except OSError as trouble:
            listener.close()
            if trouble.errno not in (errno.EADDRINUSE, errno.EACCES):
                raise CannotServe(serve_words.not_an_address(host, trouble.strerror)) from None
    raise CannotServe(serve_words.no_port_free(port))


def addresses_of(host: str | None, port: int) -> tuple[Address, ...]:
    """Where the phone may reach this server; empty when only this machine can."""
    if host is not None and host != EVERYWHERE:
        return () if _is_loopback(host) else (Address(_url(host, port)),)
    return tuple(Address(_url(network.host, port), network.name) for network in networks())


def allowed_hosts(host: str | None, port: int, addresses: tuple[Address, ...]) -> tuple[str, ...]:
    """Every Host header we give out: the addresses shown, this machine's own names, and what --host says."""
    own = socket.gethostname()
    names = ["localhost", "127.0.0.1", "[::1]", own, own.split(".")[0] + ".local"]
    shown = [address.url.removeprefix("http://") for address in addresses]
    given = [] if host is None else [_url(host, port).removeprefix("http://")]
    return tuple(dict.fromkeys([*shown, *(f"{name}:{port}" for name in names), *given]))


def _greet(settings: Settings, pairing: Pairing, here: str) -> None:
    """What the terminal says: where the data is, the address and its code, the other networks, the guests' address."""
    way_in = pairing.way_in
    _say(serve_words.THROWAWAY if settings.demo else serve_words.data_is_in(settings.data))
    _say(f"On this machine:  {way_in(here)}")
    if not settings.addresses:
        _say(serve_words.NO_PHONE)
        return
    first, *others = settings.addresses
    _say(f"On the phone:     {way_in(first.url)}{_on(first)}")
    _show_code(way_in(first.url))
    if others:
        _say(serve_words.OTHER_ADDRESSES)
        _say(serve_words.SHOW_ANOTHER)
        for other in others:
            _say(f"  {way_in(other.url)}{_on(other)}")
    _say(serve_words.WHOEVER_HAS_IT)
    _say(serve_words.for_guests(pairing.guest_way_in(first.url)))


def _on(address: Address) -> str:
    return f"  (network {address.network})" if address.network else ""


def _show_code(text: str) -> None:
    """The square code, where the terminal can print it; the address stands above in any case."""
    if sys.stdout is None:
        return
    code = qr.in_terminal(text, colours=sys.stdout.isatty() and os.environ.get("TERM") != "dumb")
    try:
        code.encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return
    if os.name == "nt":
        os.system("")
    _say(code)


def _own_host(host: str | None) -> str:
    """How this machine itself reaches the server."""
    return "localhost" if host is None or host == EVERYWHERE else host


def _is_loopback(host: str) -> bool:
    return host == "localhost" or host == "::1" or host.startswith("127.")


def _url(host: str, port: int) -> str:
    name = f"[{host}]" if ":" in host else host
    return f"http://{name}" if port == 80 else f"http://{name}:{port}"


@contextmanager
def _stopped_by_signals() -> Iterator[None]:
    """Ctrl-C and SIGTERM end what runs inside; the requests under way are still answered.

    After the first one later ones are ignored to the end of the program: they must not cut what is being finished.
    """
    signals = (signal.SIGINT, signal.SIGTERM)

    def stop(signum: int, frame: FrameType | None) -> None:
        for again in signals:
            signal.signal(again, signal.SIG_IGN)
        raise SystemExit(0)

    before = [signal.signal(number, stop) for number in signals]
    try:
        yield
    except SystemExit:
        return
    except BaseException:
        for number, handler in zip(signals, before, strict=True):
            signal.signal(number, handler)
        raise


@contextmanager
def _throwaway_folder() -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="plumbtack-demo-"))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _say(sentence: str) -> None:
    if sys.stdout is not None:  # without a terminal it serves as well
        with printing():
            print(sentence)
