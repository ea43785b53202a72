"""What the terminal says while Plumbtack serves, and why it cannot."""

from __future__ import annotations

STOPPED = "Stopped. Everything that was acknowledged is on disk."
DEMO_STOPPED = "Stopped. The throwaway copy is gone."
RUNNING = "Plumbtack is running; Ctrl-C stops it."
DEMO_KEY = "The demo makes a new key each time it starts: it stands after key= in the address it prints."
NO_PHONE = "No phone can reach it: this machine is on no network, or --host keeps it here."
OTHER_ADDRESSES = "This machine has other addresses too. If the phone cannot reach the first, try these;"
SHOW_ANOTHER = "to show another one's code start with --host and that address:"
WHOEVER_HAS_IT = "Whoever has this code can read and add readings: show it to those who work with you."
THROWAWAY = "Demo: a throwaway copy. Whatever you type here is gone when the program stops."


def port_taken(port: int, chosen: str) -> str:
    return f"Port {port} is taken, so it uses {chosen}."


def not_served(host: str, port: int) -> str:
    return f"--host {host} --port {port} is not an address this machine can serve on: leave --host out for all it has."


def not_an_address(host: str, why: str) -> str:
    return f"--host {host} is not an address of this machine ({why.lower()}): leave --host out for all it has."


def no_port_free(port: int) -> str:
    return f"No port from {port} on is free for this program: choose another with --port."


def data_is_in(data: str) -> str:
    return f"The data is in {data}"


def for_guests(url: str) -> str:
    return f"For guests, who may look and change nothing:  {url}"
