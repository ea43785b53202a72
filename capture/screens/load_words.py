"""What the load cases are counted with, and what a link would do under them."""

from __future__ import annotations

SIZING_AID = (
    "A sizing aid, not a rating: it knows nothing of welds, bends, rust and blows. Local rules and a licensed engineer "
    "decide."
)
KSI = 6.894757
"""N/mm² in one, from 1 lbf = 4.4482216 N: NIST SP 811."""
LEFT_OVER = "What is left over"
WHAT_RESERVE_MEANS = "What a link would bear over what it carries: 3 means three times as much."
GIVES = {
    "Euler": "Would buckle, being slender (Euler).",
    "Johnson": "Would buckle, being stocky (Johnson).",
    "offset joints": "Would yield, its joints beside its line.",
    "bending": "Would yield in bending at its nearer axle bolt.",
}
NEXT_TO_NOTHING = "Next to nothing, either way."
EITHER_WAY = "Pulled or pressed: the spread does not tell."
PULLED_APART = "Pulled apart."
PRESSED_TOGETHER = "Pressed together."


def stress(value: float, unit: str) -> str:
    """A yield stress, N/mm², as sellers state it: in ksi beside inches."""
    return f"{value / KSI:.0f} ksi" if unit == "in" else f"{value:.0f} N/mm²"


def reserve(value: float, give: float) -> tuple[str, str]:
    """So many times as much, and its ± (two sd), in no more places than the ± bears out."""
    places = 0 if give >= 1.0 else 1 if give >= 0.1 else 2
    return f"{value:.{places}f}", f"± {max(give, 0.01):.{places}f}"


def yield_offered(source: str) -> str:
    return f"Where no yield is stated: {source}"


def gives(by: str) -> str:
    """How a link would give first. by: as the reserve names it."""
    return GIVES.get(by) or f"Would yield at its {by}."


def bent_by(moment: str) -> str:
    return f" Bent at its nearer axle bolt by {moment}."


def springs_stand(share: float, who: str) -> str:
    return f"Springs {share:.0f} % of the way out to the wheels ({who})"


def grip_of(grip: float, who: str) -> str:
    return f"grip {grip:g} of the weight on them ({who})"


def side_pull(g: float, who: str) -> str:
    return f"A side pull of {g:g} g ({who})."


def step(side: str, times: float, who: str) -> str:
    return f"The {side} wheel is pushed back and up with {times:g} times what it carries ({who})."


def landing(times: float, who: str) -> str:
    return f"Both wheels push up with {times:g} times what they carry ({who})."


def assumed(springs: str) -> str:
    return f" {springs}. What is assumed is common practice, no source."


def all_the_tyres_hold(grip: str) -> str:
    return f"All that this axle’s tyres can hold, {grip}."


def tyres_slip_first(torque: str, grip: str) -> str:
    return f"The tyres slip before your {torque} is reached: {grip}."


def less_than_the_tyres(torque: str, grip: str) -> str:
    return f"Your {torque} at both wheels together, less than what the tyres can hold: {grip}."
