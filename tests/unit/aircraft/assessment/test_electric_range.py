"""Range by the closed form of electric flight, from the tables of losses and drag that a report prints.

    range = energy of the cells x efficiency x (lift over drag) / weight

The efficiency is thrust x airspeed over the power of the cells. The form holds for any speed and is in every text on
electric flight (also Traub, J. Aircraft 48(2), 2011, with a constant voltage). Energy, efficiency and lift over drag
come from three tables which a search does not use, so a loss that one of them forgets makes this fail.
"""

from dataclasses import replace

import numpy as np
import pytest

from tradestudy.aircraft.assessment.drag_breakdown import drag_breakdown
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.propulsion import pack

SPEED = 15.0  # m/s
STEPS = 4000  # steps of the integral over charge; the model uses sixteen Gauss points


def with_train(design, **changes):
    """Return the same design with another drive."""
    power = design.data.power
    data = replace(design.data, power=power._replace(powertrain=power.powertrain._replace(**changes)))
    return EvaluatedDesign(design.study, data, design.choice, design.variables)


@pytest.fixture(scope="module")
def flown(godwit_study, godwit_anchor):
    """Return the Godwit at one speed, whose drive as built takes a tenth more than the clean one."""
    variables = godwit_anchor.variables | {"cruise_speed": SPEED}
    design = EvaluatedDesign(godwit_study, godwit_anchor.data, godwit_anchor.choice, variables)
    return with_train(design, drive_power_factor=1.1)


def closed_form(design):
    """Return the range [m], with the efficiency of each state of charge weighted by its share of the energy."""
    charge = np.linspace(design.data.power.reserve, 1.0, STEPS + 1)
    charge = 0.5 * (charge[1:] + charge[:-1])
    cells = design.powertrain.pack
    step = pack.pack_capacity(cells) * (1.0 - design.data.power.reserve) / STEPS
    energy = step * pack.open_circuit_voltage(cells, charge)
    losses = design.losses_at(SPEED, charge)
    efficiency = losses.thrust / sum(getattr(losses, name) for name in losses._fields if name != "cells")
    weight = float(design.shape.all_up_mass) * GRAVITY
    return float((energy * efficiency).sum()) * drag_breakdown(design).lift_to_drag / weight


def test_range_is_energy_times_efficiency_times_lift_over_drag_by_weight(flown):
    """Compare at one speed, with the voltage that falls and the heat in the pack: 0.1 %."""
    assert flown.power_at(SPEED).range[0] == pytest.approx(closed_form(flown), rel=1e-3)


def test_range_of_a_flat_pack_needs_no_integral(flown):
    """Compare with one efficiency for the whole flight: constant voltage and no resistance in the pack."""
    cells = flown.powertrain.pack
    flat = cells._replace(
        curve=pack.voltage_curve([3.6, 3.6 + 1e-12, 3.6 + 2e-12]), cell_resistance=1e-12, wiring_resistance=0.0
    )
    flown = with_train(flown, pack=flat)
    losses = flown.losses_at(SPEED)
    energy = pack.pack_capacity(flat) * (1.0 - flown.data.power.reserve) * 3.6 * flat.series
    efficiency = float(losses.thrust[0] / losses.cells[0])
    weight = float(flown.shape.all_up_mass) * GRAVITY
    expected = energy * efficiency * drag_breakdown(flown).lift_to_drag / weight
    assert flown.power_at(SPEED).range[0] == pytest.approx(expected, rel=1e-3)
