"""What the page with the square codes says."""

from __future__ import annotations

TITLE = "Let the phone in"
ONCE_FOR_EACH = "One square code, once for each phone"
CODE_DRAWN = "Square code of the address below"
GUEST_CODE_DRAWN = "Square code for guests, of the address below"
