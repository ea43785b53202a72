"""The addresses under which a phone may reach this machine, the likeliest first. Standard library only."""

from __future__ import annotations

import ipaddress
import socket
import struct
import sys
from dataclasses import dataclass

GARAGE = ("192.168.0.0/16", "10.0.0.0/8", "172.16.0.0/12")  # private networks, the usual home ones first
NOT_FOR_PHONES = ("docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "tun", "tap", "utun", "wg", "zt", "ppp", "ifb")
ASK_ADDRESS = {"linux": 0x8915, "darwin": 0xC0206921}  # SIOCGIFADDR


@dataclass(frozen=True)
class Network:
    """One IPv4 address of this machine. name: the interface's, empty where the machine does not say."""

    host: str
    name: str = ""


def networks() -> list[Network]:
    """All IPv4 addresses but the loopback, the one a phone on the same wireless network most likely reaches first."""
    found: dict[str, Network] = {}
    for network in [*_by_interface(), *_by_own_name(), *_by_route()]:
        address = ipaddress.ip_address(network.host)
        if not (address.is_loopback or address.is_unspecified or address.is_multicast):
            found.setdefault(network.host, network)
    return sorted(found.values(), key=rank)


def rank(network: Network) -> int:
    """Lower is likelier: a private address on a plain interface before tunnels and containers."""
    address = ipaddress.ip_address(network.host)
    place = next((at for at, net in enumerate(GARAGE) if address in ipaddress.ip_network(net)), len(GARAGE))
    if network.name.lower().startswith(NOT_FOR_PHONES):
        place += 10
    return place + (20 if address.is_link_local else 0)


def _by_interface() -> list[Network]:
    """Asks each interface for its address: Linux and macOS."""
    request = ASK_ADDRESS.get(sys.platform)
    if request is None:
        return []
    import fcntl  # not on Windows, hence here

    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        for _, name in socket.if_nameindex():
            try:
                answer = fcntl.ioctl(probe, request, struct.pack("256s", name.encode()[:15]))
            except OSError:  # this interface has no address
                continue
            found.append(Network(socket.inet_ntoa(answer[20:24]), name))
    return found


def _by_own_name() -> list[Network]:
    """What the machine's own name resolves to: all of them on Windows, often only the loopback elsewhere."""
    try:
        answers = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return []
    return [Network(str(answer[4][0])) for answer in answers]


def _by_route() -> list[Network]:
    """The address a packet to the outside would leave from; nothing is sent. A tunnel's, where one is up."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documents
            return [Network(probe.getsockname()[0])]
        except OSError:
            return []
