"""Why a file or request that came in cannot be taken: what, where, what to do."""

from __future__ import annotations

CHANGE_OR_EXPORT = "change it there or export the file again"
EXPORT_OR_UNPACK = "export it again, or unpack it and choose vehicle.json alone"
NO_PHOTO_CHOSEN = "No photo was chosen yet; take one or choose one."
NOT_OUR_PHOTO = "it is no photo as Plumbtack writes them"
NO_PICTURE = "This is no photo that can be read here: choose a JPEG, PNG or WebP picture."
NAMES_ITSELF = "of names the entry itself; it must name another"


def json_empty(name: str, advice: str) -> str:
    return f"{name}: it is empty, there is nothing to read{advice}."


def not_json(name: str, where: str, advice: str) -> str:
    return f"{name}: this is not JSON from {where} on{advice}."


def json_too_deep(name: str, advice: str) -> str:
    return f"{name}: brackets stand in each other far too deep{advice}."


def key_twice(name: str, where: str, key: str) -> str:
    return f"{name}: {where}: the key {key} stands twice; keep one of the two."


def json_too_large(name: str, most: int) -> str:
    return f"{name}: it is larger than {most} MB; a vehicle is far smaller."


def utf_16(name: str) -> str:
    return f"{name}: it is written in UTF-16; save it as UTF-8 and try again."


def not_utf_8(name: str, line: int) -> str:
    return f"{name}: line {line} is not UTF-8 text; save it as UTF-8 and try again."


def too_many_keys(name: str, number: int, most: int) -> str:
    return f"{name}: one part of it has {number} keys, and none should have more than {most}."


def refused(name: str, place: str, said: str) -> str:
    """Any refusal of a vehicle file: in which file, where in it, what, and what to do."""
    return f"{name}: {place}{': ' if place else ''}{said.rstrip('.?')}; {CHANGE_OR_EXPORT}."


def not_a_vehicle(name: str) -> str:
    return f"{name}: this is not a Plumbtack vehicle file; choose one that Plumbtack exported."


def other_format(name: str, format_: str, found: str) -> str:
    return f"{name}: format must be {format_}, it is {found}; {CHANGE_OR_EXPORT}."


def from_a_newer_program(name: str, version: str, known: int) -> str:
    return (
        f"{name}: this file has version {version} and comes from a newer Plumbtack, this one reads up to version "
        f"{known}; update Plumbtack, then open it again."
    )


def no_such_link(link: str, links: str) -> str:
    return f"this layout has no {link}, only {links}"


def zip_too_large(name: str, most: int) -> str:
    return f"{name}: it is larger than {most} MB, and no vehicle with its photos is."


def too_many_photos(name: str, number: int, most: int) -> str:
    return f"{name}: it holds {number} photos, and {most} is the most of a vehicle."


def no_vehicle_in_zip(name: str, vehicle: str) -> str:
    return f"{name}: there is no {vehicle} in this zip; {EXPORT_OR_UNPACK}."


def zip_damaged(name: str) -> str:
    return f"{name}: this zip is damaged or packed in a way not known here; {EXPORT_OR_UNPACK}."


def too_many_files(name: str, number: int, most: int) -> str:
    return f"{name}: there are {number} files in this zip, and {most} is the most; {EXPORT_OR_UNPACK}."


def strange_file(name: str, file: str) -> str:
    return f"{name}: {file} is none of the files of a vehicle with photos; {EXPORT_OR_UNPACK}."


def file_twice(name: str, file: str) -> str:
    return f"{name}: {file} stands in this zip twice; {EXPORT_OR_UNPACK}."


def file_is_a_link(name: str, file: str) -> str:
    return f"{name}: {file} is a link and not a file; {EXPORT_OR_UNPACK}."


def file_too_large(name: str, file: str, most: int) -> str:
    return f"{name}: {file} is larger than {most} when unpacked; {EXPORT_OR_UNPACK}."


def photo_refused(name: str, place: str, said: str) -> str:
    return f"{name}: {place}: {said.rstrip('.')}; {EXPORT_OR_UNPACK}."


def photo_without_entry(name: str, place: str) -> str:
    return f"{name}: {place}: the log has no photo with this id; take the file out, or {EXPORT_OR_UNPACK}."


def another_picture(name: str, place: str) -> str:
    return f"{name}: {place}: this is another picture than the one its entry names; {EXPORT_OR_UNPACK}."


def photo_of_file_too_large(most: int) -> str:
    return f"it is larger than {most} kB, and no photo of a vehicle file is"


def photo_too_wide(width: int, height: int, most: int) -> str:
    return f"This photo is {width} by {height} pixels; at most {most} million are taken, so make it smaller first."


def no_place_of_facts(place: str, part: str) -> str:
    return f"facts names {place}, and places are named like tubes.{part} or threads.{part}.frame"


def no_such_link_of_facts(place: str, link: str, links: str) -> str:
    return f"facts names {place}, and this layout has no {link}, only {links}"


def no_such_end(place: str, ends: str) -> str:
    return f"facts names {place}, and a link's end is {ends}"


def no_size_stated(place: str) -> str:
    return f"facts names {place} without a size that was stated there"


def entries_no_list(name: str, found: str, advice: str) -> str:
    return f"{name}: entries must be a list, it is {found}{advice}."


def too_many_entries(name: str, number: int, most: int) -> str:
    return f"{name}: entries has {number} of them, and {most} is the most."


def id_twice(id_: str, first: int) -> str:
    return f"id {id_} stands in entry {first} already; ids are used once"


def no_entry_with_that_id(of: str) -> str:
    return f"of names {of}, and there is no entry with that id"


def names_no_reading(of: str) -> str:
    return f"of names {of}, which is no reading; only readings can be set aside"
