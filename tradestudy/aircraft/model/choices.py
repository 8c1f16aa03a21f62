"""Choices: sets of parts that are bought or decided in steps, and the study with one such set in place of its own."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import Any

from tradestudy.aircraft.shape.pack_bay import bay_of_pack, is_cut_to_pack, pack_bay, study_with_bay
from tradestudy.catalogue import catalogue_part
from tradestudy.physics.weights import pack_dimensions, pack_layouts
from tradestudy.quantities import at_edge, from_edge, in_unit, short_with_unit, trade_size
from tradestudy.quantities.variables import VARIABLES
from tradestudy.results.design import Design, DesignChoices, DesignVariables
from tradestudy.study.assumed_values.gear_rules import place_in_bay
from tradestudy.study.consistency.pack import pack_size
from tradestudy.study.schema.equipment import EquipmentTable
from tradestudy.study.schema.study import StretchTable, Study

CELLS_ACROSS = "pack.cells_across"
ANY_THAT_FIT = 0  # value of cells_across when the study leaves their arrangement open
_ROUNDING = 1e-6  # m


def chosen_pack_size(study: Study, choice: Choice) -> pack_layouts.Size:
    """Return outside length, width and height of the chosen pack, or of its half in each of two bays. [m]

    ``study`` has the pack of the choice. If nothing fixes the arrangement, the pack is as narrow as its bay allows.
    """
    pack, bay = study.pack, pack_bay(study)
    if choice.layout:
        return pack_layouts.laid_size(pack_layouts.layout_from_text(choice.layout), pack.piece)
    cells = choice.series, choice.parallel
    count = pack.pieces_in(bay.from_centre, *cells)
    own = not choice.pack and cells == (pack.series, pack.parallel)
    is_open = pack.cells_across == ANY_THAT_FIT or any(used.key == CELLS_ACROSS for used in study.defaults_used)
    first = min(pack.cells_across or 1, count)
    for across in range(first, count + 1) if is_open and not own else [first]:
        size = pack_size(pack, bay.from_centre, cells, across)
        if size[0] <= bay.length - 2 * pack_dimensions.ROOM + _ROUNDING:
            break
    return size


def study_with_choice(study: Study, choice: Choice) -> Study:
    """Return the study with the parts of a choice in place of its own.

    A second call with the same choice changes nothing.

    The table of the stock wing is not changed: the calibration uses the study as written.
    """
    parts: dict[str, Any] = {"stretch": _by_scheme(study.stretch, choice.scheme or study.stretch.scheme)}
    if choice.motor:  # the bench test belongs to the stock motor
        parts |= {"motor": _with_values_of(study.motor, _named(study.motor_choice, choice.motor)), "motor_test": None}
    if choice.pack:  # a new pack has neither the age nor the measured resistance of the stock pack
        other = _named(study.pack_choice, choice.pack)
        chemistries = {catalogue_part("cells", cell)["chemistry"] for cell in (study.pack.cell, other.cell)}
        parts["pack"] = _with_values_of(
            study.pack,
            other,
            cells_across=other.cells_across or ANY_THAT_FIT,
            health=1.0,
            resistance=None,
            # a cut-off voltage for one chemistry may fully discharge cells of another
            cut_off=study.pack.cut_off if len(chemistries) == 1 else None,
        )
        parts["defaults_used"] = tuple(used for used in study.defaults_used if used.key != CELLS_ACROSS)
    if study.fitted is not None:  # factors measured on the stock wing's parts do not apply to other parts
        alike = {
            "motor_resistance": choice.motor,
            "drive_power": choice.motor,
            "propeller_power": choice.propeller != study.propeller.size,
            "pack_capacity": choice.pack,
            "pack_resistance": choice.pack,
        }
        parts["fitted"] = study.fitted.model_copy(update={name: 1.0 for name, other in alike.items() if other})
    if choice.bays:
        bays = bay_alternatives(study).get(choice.bays, {})  # a second call finds everything in its bay
        parts["equipment"] = tuple(_in_bay(study, thing, bays.get(thing.name)) for thing in study.equipment)
    if choice.throttle_cap is not None:
        parts["controller"] = study.controller.model_copy(update={"throttle_cap": choice.throttle_cap})
    made = replace(study, **parts)
    if not (choice.layout and is_cut_to_pack(made)):
        return with_raised_lid(made, choice.raised_lid) if choice.raised_lid else made
    bay = bay_of_pack(made, chosen_pack_size(made, choice), made.pack.from_nose, choice.raised_lid)
    return study_with_bay(made, bay)


def with_raised_lid(study: Study, raised: float) -> Study:
    """Return the study with the lids of its pack's bays ``raised`` [m] above the skin. The bays are that much deeper.

    A bay that is cut right through has no floor to stand on, and stays as it is.
    """
    names = (study.pack.bay, study.pack.second_bay)
    bays = [
        bay.model_copy(update={"depth": bay.depth + raised - (bay.raised_lid or 0.0), "raised_lid": raised})
        if bay.name in names and not bay.through
        else bay
        for bay in study.bay
    ]
    return replace(study, bay=tuple(bays))


def bay_alternatives(study: Study) -> dict[str, dict[str, str]]:
    """Return every way to put equipment into other bays: words -> (name of a thing -> its bay).

    The first has no words, and leaves everything where the study has it.
    """
    own = {thing.name: thing.bay or thing.bays[0] for thing in study.equipment if thing.bays}
    ways = [dict.fromkeys((own[thing.name], *thing.bays)) for thing in study.equipment if thing.bays]
    found = {}
    for bays in itertools.product(*ways):
        other = {name: bay for name, bay in zip(own, bays, strict=True) if bay != own[name]}
        found["; ".join(f"{name} in the bay {bay}" for name, bay in other.items())] = other
    return found


def _in_bay(study: Study, thing: EquipmentTable, name: str | None) -> EquipmentTable:
    """Return a thing in another bay, where the pack of the stock wing leaves most room; None leaves it in place."""
    if name is None:
        return thing
    bay, pack = next(one for one in study.bay if one.name == name), None
    length = thing.outside_size[0] if thing.outside_size else 0.0
    if study.pack.bay == name and study.pack.cells_across != ANY_THAT_FIT:
        half = 0.5 * pack_size(study.pack, bay.from_centre)[0]
        pack = study.pack.from_nose - half, study.pack.from_nose + half
    place = place_in_bay((bay.from_nose, bay.from_nose + bay.length), pack, length)
    return thing.model_copy(update={"bay": name, "from_nose": place})


def _named(listed: tuple[Any, ...], name: str) -> Any:
    return next(one for one in listed if one.name == name)


def _by_scheme(stretch: StretchTable, scheme: str) -> StretchTable:
    """Return the stretch table with what one scheme may vary.

    Sweep is free where panels are redrawn, washout where new cores are cut.
    """
    may_twist = scheme == "scaled" or (scheme == "tip" and stretch.can_cut_cores)
    return stretch.model_copy(
        update={
            "scheme": scheme,
            "sweep": stretch.sweep if scheme == "scaled" else None,
            "washout": stretch.washout if may_twist else None,
        }
    )


def _with_values_of(own: Any, other: Any, **more: Any) -> Any:
    """Return a part's table with the values of another part, for the fields that both have.

    Keywords in ``more`` override them.
    """
    fields = {name: value for name, value in dict(other).items() if name in type(own).model_fields}
    return own.model_copy(update=fields | more)


SCHEME_WORDS = {"scaled": "redrawn panels", "plug": "a piece at the root", "tip": "panels carried on outward"}


def rod_words(pairs: int, diameter: float) -> str:
    """Return the rods of each half wing in words, such as "2 pairs of 3 mm rods"; ``diameter`` is in metres."""
    return f"{pairs} {'pair' if pairs == 1 else 'pairs'} of {trade_size(diameter)} rods" if pairs else "no rods"


@dataclass(frozen=True)
class Choice:
    """A set of parts that are bought or decided in steps. An empty field means the study's own part."""

    series: int
    parallel: int
    rod_diameter: float  # [m]
    rod_pairs: int
    propeller: str
    motor: str = ""  # name of one of the study's motor choices
    pack: str = ""  # name of one of the study's pack choices
    scheme: str = ""
    throttle_cap: float | None = None
    bays: str = ""  # equipment in other bays than those of the study, one of `bay_alternatives`
    layout: str = ""  # how the cells lie in a bay cut to the pack, as in `PackLayout.text`; empty in any other bay
    # height of the lid of the pack's bay above the skin; 0 is flush, or as the study has it if the bay stays [m]
    raised_lid: float = 0.0

    @property
    def words(self) -> str:
        """The choice in one phrase for a builder. Different choices have different phrases."""
        rods = rod_words(self.rod_pairs, self.rod_diameter)
        phrases = [
            f"{self.series}S{self.parallel}P{f' {self.pack}' if self.pack else ''}{self._laid}",
            rods,
            f"{self.propeller} propeller",
            f"motor {self.motor}" if self.motor else "",
            SCHEME_WORDS[self.scheme] if self.scheme else "",
            "" if self.throttle_cap is None else f"throttle to {short_with_unit(self.throttle_cap, '%')}",
            self.bays,
        ]
        return ", ".join(filter(None, phrases))

    @property
    def _laid(self) -> str:
        lid = f"the lid raised {short_with_unit(self.raised_lid, 'mm')}" if self.raised_lid else ""
        laid = pack_layouts.layout_from_text(self.layout).words if self.layout else ""
        return f" ({' and '.join(filter(None, (laid, lid)))})" if laid or lid else ""

    @property
    def model_key(self) -> tuple[Any, ...]:
        """The fields that a model's data depend on. All other fields are inputs of that model.

        A bay that is cut to the pack depends on the number of its cells, and any bay on its lid.
        """
        bay: tuple[Any, ...] = (self.raised_lid,) if self.raised_lid else ()
        if self.layout:
            bay = (self.layout, self.raised_lid, self.series, self.parallel)
        return (self.propeller, self.motor, self.pack, self.scheme, self.throttle_cap, self.bays, *bay)

    @property
    def pack_key(self) -> tuple[str, int, int]:
        """The fields that identify the pack."""
        return self.pack, self.series, self.parallel


def choices_at_edge(choice: Choice) -> DesignChoices:
    """Return a choice in the units shown to the user."""
    cap = None if choice.throttle_cap is None else round(in_unit(choice.throttle_cap, "%"), 4)
    return DesignChoices(
        series=choice.series,
        parallel=choice.parallel,
        rod_diameter_mm=round(in_unit(choice.rod_diameter, "mm"), 3),
        rod_pairs=choice.rod_pairs,
        propeller=choice.propeller,
        words=choice.words,
        motor=choice.motor or None,
        pack=choice.pack or None,
        scheme=choice.scheme or None,
        throttle_cap_pct=cap,
        bays=choice.bays or None,
        layout=choice.layout or None,
        raised_lid_mm=round(in_unit(choice.raised_lid, "mm"), 3) if choice.raised_lid else None,
    )


def variables_at_edge(variables: dict[str, float]) -> DesignVariables:
    """Return SI variables in the units shown to the user."""
    return DesignVariables(**at_edge(**{each.key: float(variables[name]) for name, each in VARIABLES.items()}))


def choice_of(design: Design) -> Choice:
    """Return the choice of parts in a design."""
    return choice_from_edge(design.choices)


def choice_from_edge(bought: DesignChoices) -> Choice:
    """Return the choice of parts from their names and sizes in a result."""
    cap = bought.throttle_cap_pct
    return Choice(
        bought.series,
        bought.parallel,
        from_edge("rod_diameter_mm", bought.rod_diameter_mm),
        bought.rod_pairs,
        bought.propeller,
        bought.motor or "",
        bought.pack or "",
        bought.scheme or "",
        None if cap is None else from_edge("throttle_cap_pct", cap),
        bought.bays or "",
        bought.layout or "",
        from_edge("raised_lid_mm", bought.raised_lid_mm) if bought.raised_lid_mm else 0.0,
    )


def variables_of(design: Design) -> dict[str, float]:
    """Return the variables of a design in SI units."""
    return variables_from_edge(design.variables)


def variables_from_edge(values: DesignVariables) -> dict[str, float]:
    """Return variables in SI units from those of a result."""
    return {name: each.read(getattr(values, each.key)) for name, each in VARIABLES.items()}
