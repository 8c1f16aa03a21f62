"""From design variables to weights: totals against their parts, rods, and fins that keep their volume."""

from types import SimpleNamespace

import numpy as np
import pytest

from tradestudy.physics.flight import layout
from tradestudy.physics.flight.gear import Gear
from tradestudy.physics.geometry import fins as fin
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights import mass

DESIGN = {
    "extension": 0.2,
    "sweep": 0.45,
    "washout": 0.04,
    "rod_diameter": 0.004,
    "rod_pairs": 2.0,
    "series": 4.0,
    "parallel": 2.0,
    "equipment_position": 0.19,
}
SCHEMES = ("scaled", "plug", "tip")


def laid(data, **changes):
    return layout.design_shape(data, **{name: np.asarray(value) for name, value in (DESIGN | changes).items()})


@pytest.mark.parametrize("scheme", SCHEMES)
def test_items_sum_to_the_weight(godwit, scheme):
    data = godwit(scheme).layout
    shape = laid(data)
    assert shape.mass_items.sum() == pytest.approx(shape.all_up_mass, rel=1e-12)
    assert len(layout.mass_item_names(data)) == len(shape.mass_items)
    assert shape.mass_items[-1] == shape.pack_mass


def test_rod_mass_by_hand(godwit):
    """Compare glass rods of 2000 kg/m3, each ending 40 mm from the tip.

    The front ones are two pairs of 4 mm in each half. The rear ones are two pairs of 3 mm with rods across the centre.
    """
    data = godwit("scaled").layout
    masses = dict(zip(layout.mass_item_names(data), laid(data).mass_items, strict=True))
    out = 0.85 - 0.04
    panel = out - 0.04
    chord = 0.328 + (0.172 - 0.328) * panel / (0.85 - 0.04)
    # along 25 % of the foam chord, from 92 mm off the centre line
    slope = np.tan(DESIGN["sweep"]) + 0.25 * (chord - 0.328) / panel
    front = (out - 0.092) * np.hypot(1.0, slope)
    assert masses["rods 1"] == pytest.approx(2 * 4 * 2000 * 0.25 * np.pi * 0.004**2 * front, rel=1e-12)
    # from 84 % where the panel starts, 328 mm long there, to 58 % at the outer end
    slope = np.tan(DESIGN["sweep"]) + (0.58 * chord - 0.84 * 0.328) / panel
    rear = out * np.hypot(1.0, slope)  # straight on through the centre piece
    rear += 25 * 0.003 * np.cos(np.arctan(slope))  # half the rod across the centre beside it
    assert masses["rods 2"] == pytest.approx(2 * 4 * 2000 * 0.25 * np.pi * 0.003**2 * rear, rel=1e-12)


def test_a_metre_of_tubes_by_hand():
    """Check two pairs of tubes of 6 mm, half of it hollow, at 1600 kg/m3, and one pair of rods of the stock wing."""
    tubes = SimpleNamespace(density=1600.0, rods_per_place=2.0, bore=0.5, diameter=0.003, pairs=1.0)
    rods = SimpleNamespace(density=2000.0, rods_per_place=1.0, bore=0.0, diameter=0.004, pairs=3.0)
    first, second = layout.chosen_rods(SimpleNamespace(rods=(tubes, rods)), 0.006, 2.0)
    assert (first.diameter, first.pairs, second.diameter, second.pairs) == (0.006, 2.0, 0.004, 3.0)
    assert first.mass_per_length == pytest.approx(1600 * 4 * np.pi / 4 * (0.006**2 - 0.003**2))
    assert second.mass_per_length == pytest.approx(2000 * 3 * np.pi / 4 * 0.004**2)


def test_stock_weighs_and_balances_as_measured(godwit_anchor, godwit_study):
    """Check that the mass not itemised gives the measured weight and balance, and that the tip is where it was read."""
    anchor = godwit_anchor
    choice, variables = anchor.choice, anchor.variables
    shape = laid(
        anchor.data.layout,
        extension=0.0,
        sweep=variables["sweep"],
        washout=variables["washout"],
        rod_diameter=choice.rod_diameter,
        rod_pairs=choice.rod_pairs,
        series=choice.series,
        parallel=choice.parallel,
        equipment_position=variables["equipment_position"],
    )
    study = godwit_study
    assert shape.set_back == pytest.approx(0.305, rel=1e-9)
    assert shape.all_up_mass == pytest.approx(study.stock.flying_weight, rel=1e-9)
    moment = shape.moment_without_pack + shape.pack_mass * study.pack.from_nose
    assert moment / shape.all_up_mass == pytest.approx(study.stock.balance_from_nose, rel=1e-9)


def test_equipment_that_moves_goes_as_far_as_the_search_moves_it():
    """Check two wings with what moves 10 mm aft and 30 mm ahead of 0.19 m: what is fixed stays, and a panel takes its
    thing along."""
    things = Gear(0.05, 0.15, 0.0, None, 1.0), Gear(0.05, 0.12, 0.0, None, 0.0), Gear(0.02, 0.31, 0.4, 0.2, 1.0)
    edges = np.array([[0.0, 0.0, 0.24], [0.0, 0.0, 0.26]])  # the leading edge where each thing lies
    drawn = SimpleNamespace(
        data=SimpleNamespace(movable_place=0.19, gear=things),
        marks=SimpleNamespace(gear_edge=edges, gear_y=(0.0, 0.0, 0.5)),
    )
    places = layout.gear_places(drawn, np.array([0.2, 0.16]))
    assert [place.from_nose + np.zeros(2) for place in places] == [
        pytest.approx([0.16, 0.12]),
        pytest.approx([0.12, 0.12]),
        pytest.approx([0.31 + 0.01 + 0.04, 0.31 - 0.03 + 0.06]),
    ]


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("extension", [0.0, 0.15, 0.35])
def test_fins_hold_their_volume(godwit, scheme, extension):
    """Check that area times arm over wing area and span stays that of the stock wing, with the arm of the larger
    fin."""
    data = godwit(scheme).layout

    def volume(data, extension):
        sweep = np.asarray(data.stock.sweep)
        wing = layout.wing_outline(data, np.asarray(extension), sweep, np.asarray(data.stock.washout))
        areas = planform.areas(wing)
        fins = layout.fins_on(data, wing, areas)
        quarter = areas.mean_aerodynamic_chord_leading_edge + 0.25 * areas.mean_aerodynamic_chord
        whole = fin.fin_totals(fins, wing)
        return whole.side_area * (whole.quarter_chord - quarter) / (areas.area * areas.span)

    stock = volume(data._replace(scheme="scaled", keep="set_back", fins_rule="keep"), 0.0)
    assert volume(data, extension) == pytest.approx(stock, rel=1e-9)


def test_kept_fins_are_kept(godwit):
    data = godwit("plug", fins_rule="keep").layout
    shape = laid(data)
    assert shape.fin_area == pytest.approx(
        (data.fins[0].root_chord + data.fins[0].tip_chord) * data.fins[0].height, rel=1e-12
    )


def test_wing_without_fins(godwit):
    shape = laid(godwit("scaled", fins=()).layout)
    assert shape.fin_area == 0.0
    assert "fins" not in layout.mass_item_names(godwit("scaled", fins=()).layout)


def test_moving_equipment_moves_the_moment_by_its_mass(godwit):
    data = godwit("scaled").layout
    ahead, aft = laid(data, equipment_position=0.16), laid(data, equipment_position=0.21)
    assert aft.moment_without_pack - ahead.moment_without_pack == pytest.approx(data.movable_mass * 0.05)
    assert aft.all_up_mass == pytest.approx(ahead.all_up_mass, rel=1e-12)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_batch_equals_loop(godwit, scheme, random):
    data = godwit(scheme).layout
    extension, sweep = random.uniform(0.05, 0.35, 3), random.uniform(0.3, 0.5, 3)
    many = laid(
        data,
        extension=extension,
        sweep=sweep,
        **{name: np.full(3, DESIGN[name]) for name in DESIGN if name not in ("extension", "sweep")},
    )
    for index in range(3):
        one = laid(data, extension=extension[index], sweep=sweep[index])
        for name, value in one._asdict().items():
            assert getattr(many, name)[index] == pytest.approx(value, rel=1e-12), name


def test_longer_wing_of_the_same_chords_weighs_more(godwit):
    weights = [
        mass.bare_wing(
            layout.wing_outline(godwit("scaled").layout, np.asarray(extension), np.asarray(0.45), np.asarray(0.04)),
            godwit("scaled").layout.materials,
        )
        .lumps["foam"]
        .mass
        for extension in (0.0, 0.2, 0.4)
    ]
    # equal chords over a longer panel: foam grows exactly in proportion to its length
    assert weights[2] - weights[1] == pytest.approx(weights[1] - weights[0], rel=1e-9)
    assert weights[1] > weights[0]
