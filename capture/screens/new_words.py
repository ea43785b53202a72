"""What the page for a new vehicle answers when something typed cannot be taken."""

from __future__ import annotations

ROUGH_IS_FINE = "Rough is fine: the tape corrects it"
CHOOSE_THE_AXLE = "Choose the axle you work on, front or rear."
CHOOSE_THE_UNIT = "Choose inches or mm."
CHOOSE_THE_PICTURE = "Choose the picture that looks like your links from above."
GIVE_IT_A_NAME = "Give it a name, so that you find it again."
NAME_NOT_SHOWN = "That name holds a sign that cannot be shown; type letters, digits and spaces."
NO_FILE_CHOSEN = "No file was chosen yet; choose one that ends in .json or .zip."


def wheelbase_out_of_reach(mm: float, inches: float) -> str:
    return f"A wheelbase of {mm:.0f} mm ({inches:.0f} in) is out of reach; type it like 106 in or 2700 mm."


def name_too_long(number: int, most: int) -> str:
    return f"That name has {number} characters; {most} is the most that fits."


def file_too_large(most: int) -> str:
    return f"That file is larger than {most} MB; a vehicle file is far smaller."
