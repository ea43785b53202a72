"""What the command says in its help and at its end, apart from the code that reads what was asked."""

from __future__ import annotations

from pathlib import Path

USAGE = """\
plumbtack [--data DIR] [--host H] [--port N] [--demo] [--print-key]
                 [--new-key]
       plumbtack report FILE... [--stage STAGE] [--json]
       plumbtack compare FILE FROM TO [--json]
       plumbtack table FILE [--stage STAGE] [--take TABLE -o NEW]
       plumbtack points FILE [--stage STAGE] [--lines | --drawing VIEW]
       plumbtack sheet FILE -o OUT.html [--short] [--stage STAGE]
       plumbtack paper [FILE] -o OUT.html [--layout LAYOUT] [--whole]
       plumbtack backup DIR [--data DIR]
       plumbtack restore FILE [--data DIR]"""
ABOUT = """\
Measure a linked solid axle with a tape and a phone, see what it will do, and
keep the record.

Without a subcommand Plumbtack serves: it prints an address and a square code.
Scan the code with the phone, on the same network, and walk round the vehicle
with it. Nothing leaves your network. Ctrl-C stops it.
"""
ABOUT_EXAMPLES = """\
examples:
  plumbtack --demo                look around in three invented vehicles
  plumbtack                       measure your own
  plumbtack --data ~/trucks       keep them in a folder of your choice
  plumbtack --host 192.168.1.20 --port 8080
  plumbtack report truck.json     what a saved vehicle file says, no server
  plumbtack compare truck.json mock_up tacked
  plumbtack sheet truck.json -o truck.html    the as-built sheet, to print
  plumbtack paper -o walk.html    the walk to print and fill in by hand
  plumbtack backup /media/stick   copy everything to another disk, read back
  plumbtack report --help         more about a command
"""
REPORT = """\
Read vehicle files and print for each: its points, the figures with their give
or take, the readings in doubt, and what is still missing. No server is needed
and no file is changed.
"""
REPORT_EXAMPLES = """\
examples:
  plumbtack report truck.json                   a page to read
  plumbtack report truck.json --stage tacked    as it stood when it was tacked
  plumbtack report *.json --json > all.jsonl    one object a file, one a line

Lengths on the page are in the file's own unit. Its give or take is twice the
"sd" of the JSON. Without --stage it is the latest stage that has a reading;
readings of earlier stages are carried over where there is no later one.

A file that cannot be used is told in one line with the place in it. Nothing is
printed then, and the exit status is 2.
"""
BACKUP = """\
Copy all vehicles into one file in the folder DIR, which is made where it is
missing, and read the copy back. It is safe while Plumbtack serves: the copy is
of one moment, and nobody has to wait for it.

Plumbtack itself keeps copies in the folder "backups" beside its data, after
changes every few minutes and when it stops: the newest eight, and the last of
each of fourteen days. They help when a file is damaged, not when the disk is
lost; for that, copy to another disk with this command.
"""
BACKUP_EXAMPLES = """\
examples:
  plumbtack backup /media/stick
  plumbtack backup ~/copies --data ~/trucks

The copy holds the key that lets phones in: keep it where you keep your own
papers.
"""
RESTORE = """\
Put a copy made by "plumbtack backup", or one of the automatic ones, back as the
data. The copy is read through to its last entry first, and what was there
before is kept: its place is printed. While Plumbtack serves the folder the
command refuses: stop it with Ctrl-C first.

Readings taken after the copy was made are not lost while their phone has them:
it offers them again as soon as its page is opened.
"""
RESTORE_EXAMPLES = """\
examples:
  plumbtack restore /media/stick/plumbtack-20260502T091407.000000Z.sqlite3
  plumbtack restore plumbtack-20260502T091407.000000Z.sqlite3 --data ~/trucks
"""
COMPARE = """\
What changed between two stages of a vehicle: every point and figure with the
give or take of its change, and whether the change is sure or within the tape.
Readings that were carried over stand in both stages and take nothing away from
how sure a change is; what was not read again is named.
"""
COMPARE_EXAMPLES = """\
examples:
  plumbtack compare truck.json mock_up tacked           a page to read
  plumbtack compare truck.json tacked welded --json     for programs

The stages are plan, mock_up, tacked, welded and then setting_1, setting_2 and
so on, the earlier one first. Changes are TO less FROM; the give or take on the
page is twice the "sd" of the JSON.
The page ends with the readings that tell the move of every bracket ± 2 mm.
"""
TABLE = """\
The readings of a vehicle as a table (CSV) that a spreadsheet opens: reading,
value, unit, note, stage, at. And back: lines typed into such a table are added
to a copy of the vehicle file, all of them or none.
"""
TABLE_EXAMPLES = """\
examples:
  plumbtack table truck.json > readings.csv
  plumbtack table truck.json --stage tacked
  plumbtack table truck.json --blank > blank.csv        one line a reading, to fill in
  plumbtack table truck.json --take more.csv --stage tacked -o truck2.json

A table to take in needs the columns reading and value; unit, note, stage and at
are optional. A heading may state the unit: "value (in)". Lines without a value
are no readings. Every line that cannot be taken is told, and then nothing is
written; nor is it where a line says what the file says already, unless --again
says that it was truly read twice. The file after -o must not be there yet;
-o - prints it, for a pipe.
"""
POINTS = """\
The points of a vehicle as a table (CSV) in the vehicle frame, in mm with their
give or take; or its links; or one view as a drawing (SVG), one to one.
"""
POINTS_EXAMPLES = """\
examples:
  plumbtack points truck.json > points.csv
  plumbtack points truck.json --lines > links.csv
  plumbtack points truck.json --drawing side > side.svg

x is ahead of the worked axle's centre, y to the left, z above the floor. A ± is
twice one standard deviation. The drawing's views are side, top and end.
"""
SHEET = """\
Write the as-built sheet of a vehicle file: one HTML file that needs no network,
to open in any browser and print on A4 or letter. It holds the vehicle, dates
and stages, three views to scale, every bolt centre and length with its give or
take, the figures, the doubts and how they were settled, what was never checked,
the parts, the photos, a list of bolts to fill in by hand, and cautions.
"""
SHEET_EXAMPLES = """\
examples:
  plumbtack sheet truck.json -o truck.html           the whole sheet
  plumbtack sheet truck.json -o page.html --short    what fits on one page
  plumbtack sheet truck.zip -o truck.html            with its photos
  plumbtack sheet truck.json -o tacked.html --stage tacked

FILE is a vehicle file, the zip with its photos, or the folder unpacked from it.
The file after -o must not be there yet; -o - prints it, for a pipe. Print at
100 %; a bar of 50 mm on the sheet shows whether the printer kept the size.
"""
BOTH_OR_NEITHER = "plumbtack table: --take and -o belong together: the table to take in and the new file to write."
NEW_FILE = "the new file; - prints it instead"
NEW_VEHICLE_FILE = "the new vehicle file, with --take; - prints it instead"
NO_OUTPUT = "plumbtack: there is nowhere to print to, as standard output is closed; leave it open."
FROM_SOURCE = "from its source folder, not installed"


def unreadable_inside(name: str, said: str) -> str:
    return f"{name}: a file in it cannot be read ({said}); check its permissions."


def no_such_file(name: str) -> str:
    return f"{name}: there is no such file; check the name and the folder."


def a_folder(name: str) -> str:
    return f"{name}: this is a folder; name a vehicle file in it."


def not_for_you(name: str) -> str:
    return f"{name}: this file may not be read by you; change its permissions."


def unreadable(name: str, said: str) -> str:
    return f"{name}: the file cannot be read ({said}); check the name and the disk."


def no_such_stage(stage: str, stages: str) -> str:
    return f"there is no stage {stage!r}; the stages are {stages}"


def taken_already(table: str, file: str) -> str:
    return f"{table}: this table is in {file} already."


def there_already(output: str) -> str:
    return f"{output}: this file is there already; name a new one."


def not_writable(output: str, said: str) -> str:
    return f"{output}: it cannot be written ({said}); name another."


def says_already(table: str, lines: str, file: str) -> str:
    return (
        f"{table}: {lines} what {file} says already; take them out of the table, or add --again when they were truly "
        "read twice."
    )


def no_sheet_of(stage: str, stages: str) -> str:
    return f"plumbtack sheet: --stage {stage} is none; there are {stages}."


def folder_as_output(out: str) -> str:
    return f"{out}: this is a folder; name a new file in it."


def no_such_folder(output: str, folder: str) -> str:
    return f"{output}: there is no folder {folder}; make it or name another."


def place_not_writable(output: str, said: str) -> str:
    return f"{output}: it cannot be written ({said}); name another place."


def not_printed(said: str) -> str:
    return f"plumbtack: what was asked for cannot be printed whole ({said}); send it to another place."


def taken_in(count: int) -> str:
    return f"{count} reading{'' if count == 1 else 's'} taken in"


def sheet_is_written(short: bool, name: str) -> str:
    return f"{'The short form' if short else 'The whole sheet'} is written: {name}"


def no_port(text: str) -> str:
    return f"{text!r} is no port; a port is a whole number from 1 to 65535, such as 8080"


def copied(vehicles: str, path: Path) -> str:
    return f"{vehicles} copied and read back: {path}"


def restored(vehicles: str, folder: Path) -> str:
    return f"{vehicles} read back and in place in {folder}."


def kept_before(before: str) -> str:
    return f"What was there before is kept: {before}"


def our_fault(name: str, said: str) -> str:
    return (
        f"{name}: working this file out failed ({said}); that is a fault of Plumbtack, please report it with the file."
    )


PAPER = """\
Write the walk to print: one HTML file that needs no network, with a drawing and
a box to fill in for every reading, on A4 or letter. With a vehicle file it is
the walk of that vehicle at the stage in hand; without one it is blank, for any
vehicle of the layout. Typed in afterwards it goes by the same numbers.
"""
PAPER_EXAMPLES = """\
examples:
  plumbtack paper -o walk.html                       blank: three links, panhard
  plumbtack paper -o walk.html --layout four_link --axle rear --unit mm
  plumbtack paper truck.json -o walk.html            the walk of this vehicle
  plumbtack paper truck.json -o walk.html --whole    and what else can be read

Layouts: three_link_panhard, four_link, four_link_panhard, radius_arms_panhard.
FILE is a vehicle file, the zip with its photos, or the folder unpacked from it.
The file after -o must not be there yet; -o - prints it, for a pipe.
"""


def paper_is_written(name: str) -> str:
    return f"The walk on paper is written: {name}"


def file_says_it(option: str) -> str:
    return f"plumbtack paper: the vehicle file says its {option} itself; leave --{option} out, or leave the file out."


def no_such_choice(option: str, given: str, known: tuple[str, ...]) -> str:
    return f"plumbtack paper: --{option} {given} is none; there are {', '.join(known[:-1])} and {known[-1]}."
