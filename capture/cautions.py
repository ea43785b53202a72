"""Where a person could be hurt, said at the step where it matters: short, and with what to do.

Common practice of the trade unless a source is named. Never a substitute for an inspection.
"""

from __future__ import annotations

from dataclasses import dataclass

from capture import stages

SEEN = "cautions read"
"""The note that says somebody went through those of a stage."""


@dataclass(frozen=True)
class Caution:
    """One group. key: in addresses; title: when it matters; says: short sentences; stages: where it is shown, a setting
    as "setting"."""

    key: str
    title: str
    says: tuple[str, ...]
    stages: tuple[str, ...]


SETTING = "setting"
ALL: tuple[Caution, ...] = (
    Caution(
        "raising",
        "Before raising",
        (
            "Hard, level floor; the wheels that stay down chocked both ways.",
            "A jack lifts, it never holds: set rated stands at once, pins in, under frame or axle tube.",
            "Tell somebody when you start and when you stop. A phone lies within reach on the floor.",
        ),
        (stages.MOCK_UP, stages.TACKED, stages.WELDED, SETTING),
    ),
    Caution(
        "beneath",
        "Under the vehicle",
        (
            "A hard shake before you go beneath; if it rocks, set it anew.",
            "Leave the jack snug, or a wheel and timbers under the frame, as a second support.",
            "With a link out the axle can roll or go sideways: wedge the pinion, chock the axle’s stands.",
            "With the driveshaft out the vehicle can roll although it stands in gear: chock four ways first.",
        ),
        (stages.MOCK_UP, stages.TACKED, stages.WELDED, SETTING),
    ),
    Caution(
        "springs",
        "Springs and shocks",
        (
            "A squeezed coil stores enough to kill: chain or clamp it before the last link comes loose.",
            "Never the face over a spring. Vent air springs first; never open, heat or drill a gas shock.",
            "Limit straps on before the axle hangs; it never hangs by a hose or the driveshaft.",
        ),
        (stages.MOCK_UP, SETTING),
    ),
    Caution(
        "tack",
        "Before tack welding",
        (
            "Battery cables off, negative first; earth clamp close to the weld, never through joints or bearings.",
            "Airbags and belt tensioners: wait as the maker says after the battery is off.",
            "Fuel, grease, undercoat and foam cleared, a wet cloth behind, extinguisher in hand’s reach.",
            "No chlorinated brake cleaner anywhere near an arc: it makes a lethal gas.",
            "Galvanised steel: grind the zinc well back, and fresh air; cadmium and lead paint are never heated.",
            "Joints, rubber and wiring out of the heat; steel slugs in their place.",
            "A tack holds shape, not people: nobody beneath on tacks alone, no driving on tacks.",
        ),
        (stages.TACKED,),
    ),
    Caution(
        "weld",
        "Before final welding",
        (
            "Read again after the tacks and compare first: what moved is cheaper to correct now.",
            "All of the tacking cautions still hold. Never weld a closed vessel or a shock; vent a sealed tube first.",
            "Short runs, opposite sides in turn; let it cool by itself, never quench.",
            "Watch for fire for an hour after the last arc (NFPA 51B).",
            "A frame bracket or a steering part is for a qualified welder; have the welds looked at.",
        ),
        (stages.WELDED,),
    ),
    Caution(
        "lines",
        "Brake and fuel lines",
        (
            "Hoses unclipped before droop; a calliper never hangs on its hose.",
            "A stretched hose fails weeks later, a kinked pipe is replaced, not bent back.",
            "Fuel stands under pressure: release, cap, air the place. Bleed and leak-test before it moves.",
        ),
        (stages.MOCK_UP, stages.WELDED, SETTING),
    ),
    Caution(
        "cycling",
        "Through its travel",
        (
            "Two jacks work together, slowly; hands clear of link ends; support before touching.",
            "At full bump, full droop and both locks nothing touches and no hose is tight.",
        ),
        (stages.WELDED, SETTING),
    ),
    Caution(
        "first_drive",
        "First drive",
        (
            "Bolts torqued, steering locked by pin or nut as its maker says, brakes tried with the engine off.",
            "Empty ground: walking pace, both locks, straight braking, then a little faster each time.",
            "After ten minutes stop and look under: rubbed, weeping, loose?",
            "If the wheels shimmy, slow down and stop; do not go on.",
        ),
        (stages.WELDED, SETTING),
    ),
    Caution(
        "retorque",
        "Retorque",
        ("Every bolt that was touched again after 50 to 100 km (30 to 60 miles), then at 500 km (300 miles).",
         "A paint stripe over nut and bolt shows later what has turned."),
        (stages.WELDED, SETTING),
    ),
    Caution(
        "law",
        "Before it goes on the road",
        (
            "Altered axle, steering, brakes or ride height: many places want it approved or inspected. Ask first.",
            "Insurers ask too. Keep this record and photos.",
        ),
        (stages.MOCK_UP, stages.WELDED, SETTING),
    ),
)


def at(stage: str) -> tuple[Caution, ...]:
    """Those that matter at a stage."""
    wanted = SETTING if stages.is_setting(stage) else stage
    return tuple(caution for caution in ALL if wanted in caution.stages)
