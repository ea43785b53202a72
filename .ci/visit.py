"""Starts the command given, comes in with the key it prints, opens the pages of every vehicle, and stops it.

A page that links to a file the wheel forgot, or a template that did not travel, ends this with a sentence.
"""

import json
import re
import signal
import subprocess
import sys
import urllib.parse
import urllib.request

ROOMS = ("walk", "measure", "second-look", "shape", "behaviour", "record", "sheet", "photos", "file", "report")


def main(command: list[str]) -> None:
    server = subprocess.Popen(command, stdout=subprocess.PIPE, encoding="utf-8")
    try:
        address = next((found for line in server.stdout if (found := re.search(r"http://\S+/in\?key=\S+", line))), None)
        if address is None:
            sys.exit("The command printed no address.")
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        base = urllib.parse.urljoin(address[0], "/")
        start = opener.open(address[0], timeout=30).read().decode()
        for linked in re.findall(r'(?:href|src)="(/static/[^"]+)"', start):
            opener.open(urllib.parse.urljoin(base, linked), timeout=30).read()
        vehicles = json.load(opener.open(base + "vehicles", timeout=30))
        if len(vehicles) < 3:
            sys.exit("The demo vehicles did not travel.")
        for vehicle in vehicles:
            for room in ROOMS:
                opener.open(f"{base}vehicles/{vehicle['id']}/{room}", timeout=60).read()
        print(f"{len(vehicles)} vehicles, {len(ROOMS)} pages each, all answered.")
    finally:
        server.send_signal(signal.SIGINT)
        server.stdout.read()
        status = server.wait(timeout=30)
    if status:
        sys.exit(f"The command ended with status {status} after Ctrl-C.")


main(sys.argv[1:])
