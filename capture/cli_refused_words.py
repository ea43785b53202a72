"""What is said of a command line that is not understood: one sentence with what, where and what to do."""

from __future__ import annotations

import re

CHOICE = re.compile(r"argument (?P<where>[^:]+): invalid choice: (?P<typed>'.*?'|\S+) \(choose from (?P<choices>.+)\)$")
MISSING = re.compile(r"the following arguments are required: (?P<what>.+)$")
UNKNOWN = re.compile(r"unrecognized arguments: (?P<what>.+)$")
NO_VALUE = re.compile(r"argument (?P<where>[^:]+): expected .+$")
WHERE = re.compile(r"argument (?P<where>[^:]+): (?P<what>.+)$")


def not_understood(message: str) -> str:
    """The parser's complaint in plain words, without a full stop."""
    if found := CHOICE.match(message):
        choices = found["choices"].replace("'", "")
        place = "command" if found["where"] == "COMMAND" else f"choice after {found['where']}"
        return f"there is no {place} called {found['typed']}; it is one of {choices}"
    if found := MISSING.match(message):
        return f"{found['what']} is missing; write it after the command"
    if found := UNKNOWN.match(message):
        return f"{found['what']} is nothing this command knows; leave it away or look how it is spelled"
    if found := NO_VALUE.match(message):
        return f"nothing stands after {found['where']}; write its value there"
    if found := WHERE.match(message):
        return f"{found['where']}: {found['what']}"
    return message
