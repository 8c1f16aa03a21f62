"""Every variable of the OpenMDAO model has a unit and a description, declared once."""

import inspect
import re
from dataclasses import replace

import openmdao.api as om
import pytest

from tradestudy.aircraft.components.model_variables import MODEL_VARIABLES
from tradestudy.aircraft.components.problem import aircraft_problem
from tradestudy.physics.flight.launch import LaunchData


@pytest.fixture(scope="module")
def problem(godwit):
    thrown = replace(godwit("scaled, bay cut to the pack"), launch=LaunchData(8.0, 1.8, 0.26, 0.4))
    problem = aircraft_problem(thrown, usual=True)
    problem.setup(check=False)
    problem.final_setup()
    return problem


def test_every_variable_has_its_unit_and_description(problem):
    """Check units and descriptions as OpenMDAO lists them. A variable declared outside the table would have none."""
    listed = [
        *problem.model.list_inputs(units=True, desc=True, prom_name=True, out_stream=None),
        *problem.model.list_outputs(units=True, desc=True, prom_name=True, out_stream=None),
    ]
    names = set()
    for path, meta in listed:
        name = meta["prom_name"]
        names.add(name)
        assert (meta["units"], meta["desc"]) == tuple(MODEL_VARIABLES[name]), path
    assert names == set(MODEL_VARIABLES)  # every described variable exists


@pytest.mark.parametrize("name", MODEL_VARIABLES)
def test_units_are_known_and_descriptions_say_something(name):
    units, description = MODEL_VARIABLES[name]
    assert om.convert_units(1.0, units, units) == 1.0
    assert len(description.split()) >= 3 and description.lower() != name.replace("_", " ")


def test_units_agree_with_the_comments_of_the_physics(problem):
    """Compare units in the table with those in the records of `physics.flight`: [kg m] is kg*m, [m^2] is m**2."""
    from tradestudy.physics.flight import balance, control, layout, level_drag, power, strength, trimmed_flight

    stated = {}
    for module in (balance, control, layout, level_drag, power, strength, trimmed_flight):
        for name, unit in re.findall(r"^    (\w+): Any  #.*?\[([^\]]+)\]", inspect.getsource(module), re.MULTILINE):
            stated.setdefault(name, set()).add(unit)
    compared = 0
    for name, (units, _) in MODEL_VARIABLES.items():
        if name in stated:
            written = {"unitless": "-"}.get(units, units.replace("**", "^").replace("*", " "))
            assert written in stated[name], name
            compared += 1
    assert compared >= 20
