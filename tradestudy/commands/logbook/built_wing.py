"""A built wing of a study by its name: written from a design when it first flies, and read again as a design."""

from __future__ import annotations

import datetime

from tradestudy.aircraft.model.choices import choice_from_edge, variables_from_edge
from tradestudy.errors import CommandError, Fault, LogbookError
from tradestudy.results.design import Design, DesignChoices, DesignVariables
from tradestudy.results.json_form import json_data, part_from_json
from tradestudy.results.look.look import WingLook
from tradestudy.study.logbook.wings_file import BuiltWing, built_wings, wing_name_fault, wings_path
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.logbook.flown_wings import WingDesign


def built_from_design(
    name: str, design: Design | WingLook, built: datetime.date | None = None, note: str = ""
) -> BuiltWing:
    """Return a built wing with the parts and the shape of a design."""
    choice = {key: value for key, value in design.choices.known().items() if key != "words"}
    return BuiltWing(name, choice, json_data(design.variables), built, note=note)


def design_of_built_wing(study: Study, wing: BuiltWing) -> WingDesign:
    """Return the design of a built wing. Raise LogbookError if its table in the file of built wings is at fault."""
    try:
        parts = part_from_json(DesignChoices, {**wing.choice, "words": ""})
        shape = part_from_json(DesignVariables, wing.variables)
    except CommandError as error:
        sentence = f"wing.{wing.name} is not as tradestudy note writes it: {error}"
        raise LogbookError(str(wings_path(study.path)), [Fault(wing.line, wing.name, sentence)]) from None
    return WingDesign(choice_from_edge(parts), variables_from_edge(shape), wing.weight)


def refuse_wing_name(study: Study, name: str) -> None:
    """Raise CommandError if a wing to build cannot have this name, or another one has it."""
    if fault := wing_name_fault(name):
        raise CommandError(f"--name {fault}")
    if name in built_wings(study.path):
        raise CommandError(f"--name {name}: a wing of this name stands in {wings_path(study.path)} already.")
