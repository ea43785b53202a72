"""Ready to cut: what stands in the way, and what would check it."""

from __future__ import annotations

MOVED = {
    "floor": "The vehicle settled or jacked before its heights.",
    "cross line": "The cross line moved before its fore-and-aft readings.",
    "centreline": "The centreline moved before its sideways readings.",
}
TITLE = "Ready to cut?"
ONCE_THERE_ARE_READINGS = "Once there are readings, this page says what stands in the way of cutting."
NOTHING_IN_THE_WAY = "Nothing stands in the way"
READY_AS_FAR_AS = "As far as tape and gauge can tell, you are ready to cut."
BOLT_ON_A_GUESS = "A bolt stands on a guess so far."
ON_A_GUESS_TAKE = "Stands on a guess; take"
CANNOT_BE_HAD = "It cannot be had from these points."
ON_A_GUESS = "Stands on a guess so far."
UNCHECKED = "Unchecked: {}{}. A slip of {} there would pass unseen and move this by {}."
ITS_ADJUSTERS = "what its adjusters take up"
ITS_BAND = "the usual band itself"
SPREAD_TOO_WIDE = "Its spread, {}, is wider than {}."
WOULD_CHECK = "Would check what is nearby."
WOULD_TIE = "Would show whether all heights at {} are off alike."


def stands_in_the_way(standing: int, all_of_them: int, unread: bool) -> str:
    """unread: every link has a bolt that is not read yet."""
    next_ = "Read the bolts first." if unread else "The cheapest checks are below."
    return f"Something stands in the way of {standing} of {all_of_them}. {next_}"
