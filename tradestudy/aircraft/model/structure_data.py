"""The data of the structure: rods, joiner, and the wing's centre, which bays cut into."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from tradestudy.aircraft.shape import stock_shape
from tradestudy.aircraft.shape.gear_items import gear_items
from tradestudy.catalogue import catalogue_part
from tradestudy.physics.body.rod_runs import RodRun
from tradestudy.physics.flight import strength
from tradestudy.physics.sections import airfoil
from tradestudy.physics.structure import wing_parts
from tradestudy.physics.structure.foam_section import foam_sections, thickness_curve
from tradestudy.physics.structure.wing_parts import FoamSection, StationSections
from tradestudy.study.consistency.stock_geometry import stock_rod
from tradestudy.study.schema.rods import RodTable
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import BayTable

from . import materials

_LEAST_FOAM_LEFT = 0.05  # least share of foam left at the cut centre, as floor and lid skins [-]
_IN_ONE_PIECE = ("sleeve", "whole")  # ways to meet at the centre that pass on the whole force; laps are computed later
_PARABOLA = 1.5  # ratio of greatest to mean shear stress in a solid section [-]
_WEAK_BOND_SHARE = 0.4  # bond of weak materials, as a share of the study's bond; the film comes loose first
_SIDES = {"both": (1.0, 1.0, 0.0), "top": (1.0, 0.0, 0.0), "bottom": (0.0, 1.0, 0.0), "middle": (0.0, 0.0, 1.0)}


def rod_runs(study: Study) -> tuple[RodRun, ...]:
    """Return every set of rods in the stock wing."""
    return tuple(
        RodRun(
            materials.rod(rod)["density"],
            rod.diameter,
            float(rod.pairs),
            rod.chord_fraction,
            rod.inner_end,
            rod.outer_end,
            rod.tip_chord_fraction,
            _bore(rod),
            sum(_SIDES[rod.surface]),
            rod.at_centre,
            rod.lap,
        )
        for rod in study.rods
    )


def strength_data(study: Study, laid, sections: stock_shape.WingSections, stock) -> strength.StrengthData:
    """Return the structure's data of a study, with nominal materials and the stock wing's rods."""
    foam_section, share = sections.root.foam, sections.front_fraction
    section: FoamSection | StationSections
    if sections.differ:
        section = _foam_sections(
            foam_section.tobytes(), sections.tip.foam.tobytes(), tuple(strength.station_tip_shares(laid)), share
        )
    else:
        shape = airfoil.section_shape(foam_section, share)
        section = FoamSection(
            shape.area, shape.second_moment, shape.torsion, shape.perimeter, shape.thickness, shape.skin_inertia
        )
    names = ("diameter", "pairs", "chord_fraction", "inner_end", "outer_end", "slot_depth")
    geometry = {name: np.array([getattr(rod, name) for rod in study.rods], float) for name in names}
    rods = wing_parts.rods_from_catalogue(
        [materials.rod(rod) for rod in study.rods],
        **geometry,
        continuity=np.array([rod.at_centre in _IN_ONE_PIECE for rod in study.rods], float),
        thickness_fraction=airfoil.section_thickness(foam_section, geometry["chord_fraction"] * share) / share,
    )._replace(**_unlike_pairs(study))
    if study.joiner:
        one = study.joiner
        bore = (one.inside_diameter or 0.0) / one.diameter
        part = catalogue_part("rods", one.material)
        joiner = wing_parts.joiner_from_catalogue(part, one.diameter, one.length, bore, one.channel_width)
    else:
        joiner = wing_parts.joiner_from_catalogue(catalogue_part("rods", "carbon"), 0.0, 0.0)
    half_width, left, area, film_left = _cut_centre(study, foam_section, stock, share)
    return strength.StrengthData(
        laid,
        section,
        wing_parts.foam_from_catalogue(materials.foam(study)),
        wing_parts.covering_from_catalogue(materials.covering(study), materials.bond(study)),
        rods,
        joiner,
        thickness_curve(foam_section, sections.tip.foam, share),
        half_width,
        left,
        added_shear=_added_shear(study, left * area),
        remaining_film=film_left,
    )


@lru_cache(maxsize=16)
def _foam_sections(root: bytes, tip: bytes, tip_shares: tuple[float, ...], share: float) -> StationSections:
    inner, outer = (np.frombuffer(outline).reshape(-1, 2) for outline in (root, tip))
    return foam_sections(inner, outer, np.array(tip_shares), share)


def weak_strength_data(study: Study, data: strength.StrengthData) -> list[strength.StrengthData]:
    """Return two variants of the data with the catalogue's pessimistic values.

    In the first, foam, film and bond are weak. In the second, only the foam's strengths are weak. No material is so
    weak that the stock wing would not stand what it is known to have flown.
    """
    data = data._replace(strength_factor=data.strength_factor * data.weak_strength_factor)
    foam = materials.foam(study)
    weak, nominal = wing_parts.foam_from_catalogue(foam, pessimistic=True), wing_parts.foam_from_catalogue(foam)
    bond = materials.bond(study)
    weak_bond = max(_WEAK_BOND_SHARE, data.least_covering) * bond
    covering = wing_parts.covering_from_catalogue(materials.covering(study), bond, weak_bond)
    stiff = weak._replace(youngs_modulus=nominal.youngs_modulus, shear_modulus=nominal.shear_modulus)
    return [data._replace(foam=weak, covering=covering), data._replace(foam=stiff)]


def _bore(rod: RodTable) -> float:
    return (rod.inside_diameter or 0.0) / rod.diameter


def _unlike_pairs(study: Study) -> dict[str, Any]:
    """Return the RodSets fields (n_set,) for rods that are not solid pairs supported by foam.

    If a set states what supports it across a bay, nothing else supports it there. Floor and divider are assumed to
    support it as uncut foam does; wood supports at least that much. A rod that crosses no bay lies in uncut foam.
    """
    fields: dict[str, Any] = {}
    if any(rod.inside_diameter for rod in study.rods):
        fields["bore"] = np.array([_bore(rod) for rod in study.rods])
        fields["shear_modulus"] = np.array(
            [
                catalogue_part("rods", rod.material)["shear_modulus"] if rod.inside_diameter else 0.0
                for rod in study.rods
            ]
        )
    if any(rod.surface != "both" for rod in study.rods):
        top, bottom, middle = np.array([_SIDES[rod.surface] for rod in study.rods]).T
        fields |= {"top": top, "bottom": bottom, "middle": middle}
    if any(rod.crosses_bay for rod in study.rods):
        widest = max(2 * bay.outer_side for bay in study.bay)
        rows = []
        for rod in study.rods:
            if rod.crosses_bay is None:
                rows.append((1.0, 0.0, 1.0))
                continue
            crossed = max((2 * bay.outer_side for bay in crossed_bays(study, rod)), default=0.0)
            rows.append((0.0, 0.0 if rod.crosses_bay == "free" and crossed else 1.0, crossed / widest))
        fields["bed_share"], fields["bed_added"], fields["bay_share"] = np.array(rows).T
    return fields


def glued_area(study: Study, data: strength.StrengthData) -> float:
    """Return the area of foam that bays and the motor's mount leave on the centre line, to glue there. [m^2]

    Bays off the centre line count as if they lay on it, which is cautious.
    """
    chord, shape = study.stock.root_chord, data.section.area_coefficient
    return data.remaining_foam * float(np.ravel(shape)[0]) * chord**2


def crossed_bays(study: Study, rod: RodTable) -> list[BayTable]:
    """Return the bays that a set of rods crosses on the centre line, where its line or its rod across lies."""
    line = stock_rod(study.stock, rod)
    place = line.across_x(rod.diameter) if rod.at_centre == "lap" else line.inner_x
    across = [bay for bay in study.bay if not bay.from_centre]
    return [bay for bay in across if bay.from_nose < place < bay.from_nose + bay.length]


def _cut_centre(study: Study, foam_section, stock, share) -> tuple[float, float, float, float]:
    """Return four properties of the cut centre.

    They are the distance of the farthest bay wall from the centre line [m], the share of root foam left [-], the root's
    foam area [m^2], and the share of film left [-]. Film is left where no bay is, seen from above. Film over or under a
    bay is not counted. The slot of the motor's mount cuts the foam too, and so do holes of equipment there.
    """
    chord = stock.root_chord / share
    x = np.linspace(0, stock.root_chord, 400)
    thickness = airfoil.section_thickness(foam_section, x / chord) * chord
    area = float(thickness.mean() * stock.root_chord)
    slot = study.motor.mount_slot or 0.0
    left, whole = thickness.copy(), np.ones(x.shape)
    if slot:
        left[x > stock.root_chord - slot] = 0.0
        whole[x > stock.root_chord - slot] = 0.0
    for item in gear_items(study):  # a hole of its own on the centre line
        if item.buried and item.size and item.from_centre < 0.5 * item.size[1]:
            inside = np.abs(x - item.from_nose) <= 0.5 * item.size[0]
            left[inside] = np.clip(left[inside] - item.size[2], 0, None)
    for bay in study.bay:
        inside = (x >= bay.from_nose) & (x <= bay.from_nose + bay.length)
        left[inside] = 0.0 if bay.through else np.clip(left[inside] - bay.depth, 0, None)
        whole[inside] = 0.0
    share_left = max(float(left.sum() / thickness.sum()), _LEAST_FOAM_LEFT)
    return max((bay.outer_side for bay in study.bay), default=0.0), share_left, area, float(whole.mean())


def _added_shear(study: Study, foam_area: float) -> float:
    """Return the shear force that dividers add to that of the remaining foam. [N]

    ``foam_area`` is the area of that foam at the cut centre [m^2].

    A board is much stiffer than foam and breaks at a smaller strain. There are two cases. The board carries its full
    strength, and the foam a small part at that strain; or the board has broken and the foam carries all. The greater
    force is used.
    """
    foam = materials.foam(study)
    alone = foam["shear_strength"] * foam_area / _PARABOLA
    boards = [
        (bay.divider * bay.depth, catalogue_part("sheets", bay.divider_material)) for bay in study.bay if bay.divider
    ]
    if not boards:
        return 0.0
    strain = min(sheet["shear_strength"] / sheet["shear_modulus"] for _, sheet in boards)
    of_boards = sum(area * sheet["shear_modulus"] * strain for area, sheet in boards) / _PARABOLA
    of_foam = min(foam["shear_modulus"] * strain / foam["shear_strength"], 1.0) * alone
    return max(of_boards + of_foam - alone, 0.0)
