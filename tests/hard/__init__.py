"""Long trials of what must hold when everything goes wrong, one command each; `pytest` runs a short form of each.

    python -m tests.hard.kills --kills 200        the server killed while phones send
    python -m tests.hard.stopped_writer           a process that stands still in the middle of its work
    python -m tests.hard.full_disk                a disk that fills (needs the right to mount)
    python -m tests.hard.flipped_bytes            a byte of each page that the disk gives back wrong
    python -m tests.hard.fuzz --requests 20000    every address asked with anything
    python -m tests.hard.load                     eight phones at full speed, and a vehicle of 5,000 entries
    python -m tests.hard.side_by_side             two vehicles of 5,000 entries each, worked on at once
    python -m tests.hard.soak --minutes 10        mixed work; memory and open files at the end as after a fifth of it

Each prints what it found and ends with status 1 when a promise was broken.
"""
