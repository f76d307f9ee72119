"""What the fixing sheets say in words: cautions, how things are fixed, and what there is to a wall."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.tape import whole
from platemodel.sheets.fixing_values import OnWall
from platemodel.site.landing import Landed, WallLandings
from platemodel.site.rule_set import RuleSet
from platemodel.site.strapping import Strapping

CAUTIONS = (
    "Work at height needs a platform with guard rails, not the wall.",
    "Wet cement burns: gloves, wash off at once. Drilling masonry: goggles, and dust kept out of the lungs.",
)


def wall_notes(on: OnWall) -> list[str]:
    """What is to be said of a wall: what lands there, what is wrong with any of it, where straps lack."""
    notes = []
    if on.landed:
        notes.append("Lands here: " + "; ".join(_groups(on.landed)) + ".")
    notes += [f"! {item.label} at {whole(item.at)}: {'; '.join(item.flags)}." for item in on.landed if item.flags]
    notes += [
        f"! The strap built in at {whole(strap.at)} stands {' and '.join(strap.faults)}: ask the engineer."
        for strap in on.straps
        if strap.faults
    ]
    notes += [
        f"! From {lack.begin:.0f} to {lack.end:.0f} it cannot be had: {lack.asked}. There: {lack.why}. "
        "Ask the engineer."
        for lack in on.shortfalls
    ]
    for gable in on.gables:
        reach = f", {gable.reach:.0f} in from the outer face" if gable.reach is not None else ""
        places = ", ".join(f"{place:.0f}" for place in gable.places)
        notes.append(f"Lateral straps of the gable at {places}{reach}.")
    return notes


def _groups(landed: Sequence[Landed]) -> list[str]:
    """What lands, those of one width and spacing together."""
    found: list[str] = []
    start = 0
    while start < len(landed):
        stop = start + 1
        step = landed[stop].at - landed[start].at if stop < len(landed) else 0.0
        while (
            stop < len(landed)
            and landed[stop].width == landed[start].width
            and abs(landed[stop].at - landed[stop - 1].at - step) < 0.5
        ):
            stop += 1
        first, last = landed[start], landed[stop - 1]
        if stop - start >= 3:
            found.append(f"{first.label} to {last.label}, {first.width:g} wide, {step:g} apart from {whole(first.at)}")
        else:
            stop = start + 1
            found.append(f"{first.label}, {first.width:g} wide, at {whole(first.at)}")
        start = stop
    return found


def strap_words(straps: Strapping) -> list[str]:
    """How a strap is fixed."""
    rules = straps.rules
    value = rules.value
    return [
        f"Strap {value('strap_width'):g} × {value('strap_thickness'):g} mm or more, {straps.length:g} long, over the "
        "plate and down the wall, or turned into a bed joint.",
        f"{rules.count('strap_fixings')} fixings or more into the wall where it is not built in; the lowest within "
        f"{value('strap_lowest'):g} of the strap's bottom. Mortar in a joint holds no fixing.",
        f"Hardened nails {value('strap_nail_diameter'):g} × {value('strap_nail_length'):g}, or "
        f"{value('strap_screw_length'):g} mm No 12 screws in plugs ({rules['strap_lowest'].source}).",
        f"Into the plate {rules.count('strap_plate_nails')} fixings, never into a lap.",
        f"Straps may be left out only where the local rule lets: {rules['strap_none_pitch'].source} asks all of a "
        f"pitch of {value('strap_none_pitch'):g}° or more, tiles or slates, a kind of roof known to stand the wind "
        f"there, and main members at {value('strap_none_members'):g} or less (from memory: look it up).",
    ]


def landing_words(landings: Sequence[WallLandings], rules: RuleSet) -> list[str]:
    """How what lands is fixed, and marked first."""
    if not landings:
        return ["None are in the plan: fixings by the engineer's or the local rule."]
    value = rules.value
    if rules.count("clips"):
        how = f"{rules.count('clips')} clip{'s' if rules.count('clips') > 1 else ''} each ({rules['clips'].source})."
    else:
        how = (
            f"{rules.count('nails')} nails {value('nail_diameter'):g} × {value('nail_length'):g} each, skewed, one "
            f"from each side ({rules['nails'].source}), where there is no uplift."
        )
    return [
        how,
        "Uplift, girders, beams and joists: hangers, clips and straps by the engineer or the truss maker.",
        "Mark every truss on both plates before the first is lifted; opposite plates from the same end.",
    ]


def curing_words(straps: Strapping) -> list[str]:
    """What holds the plates down until the mortar has set."""
    curing = straps.curing
    return [
        f"{curing.weights} weights of {curing.each:g} kg, such as blocks, not over {curing.every:g} apart and two on a "
        f"piece, for {curing.hours:g} hours ({straps.rules['weight_every'].source}).",
        f"No trusses for {curing.load_after:g} days ({straps.rules['load_after'].source}), longer in the cold; heavy "
        "loads when the engineer says.",
        "Straps are fixed to the wall once the bed has set; do not pull the plate out of level with them.",
    ]
