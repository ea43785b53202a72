"""What the store says when disk, folder or file stand in its way: what, where, what to do."""

from __future__ import annotations

from pathlib import Path

TRY_ANOTHER_DISK = "try again, or on another disk"
STORE_HELD = "Another program holds the store: nothing of this request was kept, try again in a moment."
DISK_FULL = "The laptop's disk is full: nothing of this request was kept, make room and try again."
FOLDER_SHUT = (
    "The laptop's data folder cannot be written: nothing of this request was kept, change the permissions of it and of "
    "what is in it."
)
PUT_ASIDE = "it is put aside"
NO_SUCH_VEHICLE = "There is no vehicle with this id here: GET /vehicles lists those there are."
NEARLY_FULL = "The laptop's disk is nearly full: make room, and the next one is made by itself."


def copy_differs(target: Path) -> str:
    return f"The copy in {target} does not say what the store says: try again on another disk."


def damaged_so_no_copy(source: Path) -> str:
    return f"{source} is damaged, so no copy of it was made: go back to an older backup."


def damaged(what: str, path: Path, advice: str) -> str:
    return f"{what} {path} is damaged and was left untouched: {advice}."


def of_another_program(what: str, path: Path) -> str:
    return f"{what} {path} is a database of another program and was left untouched: choose another one."


def of_a_newer_program(what: str, path: Path, layout: int, newest: int) -> str:
    return (
        f"{what} {path} was written by a newer Plumbtack (its layout {layout}, this program knows {newest}): install "
        "the newer program to open it."
    )


def not_there(what: str, path: Path) -> str:
    return f"{what} {path} is not there: check the name and the folder."


def a_folder(what: str, path: Path) -> str:
    return f"{what} {path} is a folder, not a file: check the name."


def cut_off(what: str, path: Path, advice: str) -> str:
    return f"{what} {path} is empty, somebody cut it off: {advice}."


def no_store(what: str, path: Path, advice: str) -> str:
    return f"{what} {path} is no store of Plumbtack, or its beginning is damaged: {advice}."


def held(what: str, path: Path) -> str:
    return f"{what} {path} is held by another program: close that one, then start again."


def cannot_be_read(what: str, path: Path, said: str) -> str:
    return f"{what} {path} cannot be read ({said}): check its permissions and its folder's."


def store_could_not(said: str) -> str:
    return f"The store could not do this ({said}): nothing of this request was kept, try again."


def disk_of_folder_full(what: str, folder: Path) -> str:
    return f"The disk of the {what} {folder} is full: make room, then try again."


def file_not_writable(path: Path) -> str:
    return f"The store {path} cannot be written by you: change its permissions, or start in another folder with --data."


def folder_not_writable(what: str, folder: Path) -> str:
    return f"The {what} {folder} cannot be written by you: change its permissions or choose another."


def folder_unusable(what: str, folder: Path, said: str) -> str:
    return f"The {what} {folder} cannot be made or used ({said}): choose another."


def store_gone(path: Path, trace: str, advice: str) -> str:
    return (
        f"The store {path} is gone, but {trace} is left of it: {advice}, or move that away too to begin with an empty "
        "one."
    )


def not_up_to_date(path: Path, trouble: object) -> str:
    return f"The store {path} could not be brought up to date: {trouble}"


def put_newest_back(command: str) -> str:
    return f"put the newest backup back with {command}"


def put_a_copy_back(command: str) -> str:
    return f"put a copy of it back with {command}, or start in another folder with --data"


def store_damaged(path: Path, advice: str) -> str:
    return f"The store {path} is damaged: stop the program; {advice}."


def served_already(folder: Path) -> str:
    return (
        f"Another Plumbtack serves the data in {folder} already: use that one, stop it first, or choose another folder "
        "with --data."
    )


def lock_unusable(lock: Path, trouble: object) -> str:
    return f"{lock} cannot be used ({trouble}): remove it and start again."


def data_disk_full(folder: Path) -> str:
    return f"The disk of the data folder {folder} is full: make room, then try again."


def data_folder_unusable(folder: Path, trouble: object) -> str:
    return f"The data folder {folder} cannot take a store ({trouble}): choose another with --data."


def entry_differs(id_: str) -> str:
    return f"Entry {id_} is already stored with other content; nothing of this request was kept."


def photo_entry_differs(id_: str) -> str:
    return f"Entry {id_} is already stored with other content; the photo was not kept."


def photo_differs(id_: str) -> str:
    return f"Photo {id_} is another picture than the one its entry names; it was not kept."


def photos_are_the_most(most: int) -> str:
    return f"This vehicle holds {most} photos already, and that is the most: it was not kept."


def backup_unreadable(said: str) -> str:
    return f"The backup holds something that cannot be read back ({said}): choose another."


def open_elsewhere(path: Path) -> str:
    return f"Another program has {path} open: close it, then restore again."


def no_backup(trouble: object) -> str:
    return f"No backup was made: {trouble}"
