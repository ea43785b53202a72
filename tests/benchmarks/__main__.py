"""`python -m tests.benchmarks`: prints how long things take on this machine. It judges nothing and no test hangs on it.

`python -m tests.benchmarks refit chain size posted motion deciding remark rooms started` prints only those named.
"""

from __future__ import annotations

import sys

import capture  # noqa: F401  first of all: it keeps the matrix library to one thread, for ours and the rivals alike
from tests.benchmarks import chain, deciding, motion_speed, posted, refit, remark_while_typing, rooms, started

PARTS = {
    "refit": refit.run,
    "chain": chain.run,
    "size": chain.by_size,
    "posted": posted.run,
    "motion": motion_speed.run,
    "deciding": deciding.run,
    "remark": remark_while_typing.run,
    "rooms": rooms.run,
    "started": started.run,
}


def main(chosen: list[str]) -> int:
    unknown = [name for name in chosen if name not in PARTS]
    if unknown:
        print(f"There is no part {unknown[0]}; the parts are {', '.join(PARTS)}.", file=sys.stderr)
        return 2
    for name in chosen or PARTS:
        PARTS[name]()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
