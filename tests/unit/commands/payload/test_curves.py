"""Range over payload: statics and the range equation of electric aircraft on the stock wing, and where curves end."""

from types import SimpleNamespace

import numpy as np
import pytest
from helpers.wings.turnstone import written

from tradestudy.aircraft.model.designs import one_design
from tradestudy.aircraft.model.limit_bounds import CRUISE
from tradestudy.commands.assess import Shares
from tradestudy.commands.payload import curves
from tradestudy.commands.payload.carried import stock_carrier, with_largest_payloads
from tradestudy.commands.payload.curves import _built_curve, _carried, _end
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError
from tradestudy.physics.air import GRAVITY
from tradestudy.search.carrying.payload_on_board import Payload, loaded, refuse_unknown_bay
from tradestudy.study.reader import read_study


@pytest.fixture(scope="module")
def work(tmp_path_factory):
    return StudySession(read_study(written(tmp_path_factory.mktemp("payload"))), "tradestudy payload")


@pytest.fixture(scope="module")
def flown(work):
    """Return the stock wing with some payloads at its balance mark: mass [kg] -> state."""
    carrier = stock_carrier(work.space)
    return {mass: _carried(carrier, carrier.at(mass)) for mass in (0.0, 0.1, 0.4)}


def as_balanced_today(carrier, mass):
    """Return outputs of a wing with a payload [kg], whose balance mark stays where it is."""
    return carrier.outputs(mass, one_design(carrier.choice, carrier.variables))


def test_without_payload_the_stock_wing_is_the_one_that_every_command_prints(work, flown):
    known = work.stock_result().stock.numbers
    point = curves._point(0.0, flown[0.0], Shares(1.0, 1.0))
    assert point.range_km == pytest.approx(known.range_km, abs=2e-4)
    assert (point.auw_g, point.span_mm) == pytest.approx((known.auw_g, known.span_mm))
    assert point.cruise_speed_kmh == pytest.approx(known.cruise_speed_kmh, abs=1e-3)


def test_statics_of_a_payload(work):
    """Check that a payload at the mark moves no pack, and one ahead of it moves the pack aft by its moment.

    The pack and what slides with it take up the moment, so the place of the pack moves by mass times arm over theirs.
    """
    carrier = stock_carrier(work.space)
    empty = carrier.empty().outputs
    for mass in (0.1, 0.4):
        state = as_balanced_today(carrier, mass)
        assert float(state["all_up_mass"]) == pytest.approx(float(empty["all_up_mass"]) + mass, abs=1e-9)
        assert float(state["pack_position"]) == pytest.approx(float(empty["pack_position"]), abs=1e-9)
    mark, arm = float(empty["centre_of_gravity"]), 0.030
    ahead = as_balanced_today(stock_carrier(work.space, Payload(place=mark - arm)), 0.1)
    moved = float(ahead["pack_position"]) - float(empty["pack_position"])
    assert moved == pytest.approx(0.1 * arm / float(empty["sliding_mass"]), rel=1e-6)


def test_the_range_follows_the_range_equation_of_electric_aircraft(work, flown):
    """Check the closed form: range = energy x efficiency x (L/D) / weight.

    Derivation: energy over drag, and drag is weight over L/D; in the symbols of M. Hepperle, Electric Flight: Potential
    and Limitations, STO-MP-AVT-209-09, 2012. At constant L/D and efficiency the range goes as pack mass over all-up
    mass. The model's range falls less, by what its own L/D and efficiency gain at the higher speed; no more is left.
    """
    density = float(work.anchor.data.flight.air_density)

    def parts(state):
        speed, outputs = state.variables["cruise_speed"], state.outputs
        weight = GRAVITY * float(outputs["all_up_mass"])
        drag = 0.5 * density * speed**2 * float(np.ravel(outputs["drag_area"])[CRUISE])
        return weight, weight / drag, drag / float(outputs["energy_per_metre"]), float(outputs["range"])

    weight, glide, efficiency, reach = parts(flown[0.0])
    for mass in (0.1, 0.4):
        heavier, other_glide, other_efficiency, other_reach = parts(flown[mass])
        closed = reach * weight / heavier
        explained = other_glide / glide * other_efficiency / efficiency
        # usable energy falls a little with the current
        assert other_reach == pytest.approx(closed * explained, rel=0.01)
        assert 1.0 < other_reach / closed < 1.2


def test_watts_cost_range(work, flown):
    """Check that a payload with power and hardly any mass costs its share of the energy for each metre."""
    empty, lit = flown[0.0], stock_carrier(work.space, Payload(power=3.0)).at(0.0)
    speed = empty.variables["cruise_speed"]
    plain = float(empty.outputs["energy_per_metre"])
    assert float(lit.outputs["range"]) / float(empty.outputs["range"]) == pytest.approx(
        plain / (plain + 3.0 / speed), rel=0.02
    )


class Known:
    """A wing that carries ``most`` [kg], as `_State` for `_end`."""

    def __init__(self, most):
        self.most, self.tried = most, []

    def __call__(self, mass):
        self.tried.append(mass)
        state = type("State", (), {})()
        state.met = mass <= self.most
        return state


@pytest.mark.parametrize("most", [0.0, 0.033, 0.41, 1.7])
def test_the_end_is_found_to_the_last_grams(most):
    at = Known(most)
    low, high = _end(at, None, {0.0: at(0.0)})
    assert low <= most < high and high - low <= max(0.03 * high, 0.0051)
    assert len(at.tried) < 16


def test_the_end_is_that_of_the_look_or_nothing_at_all():
    at = Known(1.0)
    assert _end(at, 0.3, {0.0: at(0.0)}) == (0.3, None)
    at = Known(-1.0)
    assert _end(at, None, {0.0: at(0.0)}) == (None, 0.0)


def test_a_curve_ends_with_the_limit_that_is_broken_beyond_it(work):
    carrier = stock_carrier(work.space)
    found = _built_curve("stock", carrier, None, Shares(0.9, 0.9))
    known = carrier.largest()
    assert (found.most_g, found.end_words) == (round(1000 * known.wing.mass, 3), carrier.words(known.end))
    assert found.end_words and not carrier.let_go
    assert found.points[-1].payload_g == found.most_g and all(point.met for point in found.points)
    gains = [point.gain for point in found.points]
    assert gains == sorted(gains, reverse=True)
    assert gains[0] == pytest.approx(0.9 * work.stock_result().stock.numbers.range_km, abs=2e-4)


def test_a_result_has_the_same_numbers_as_the_command(work):
    stock = with_largest_payloads(work, work.stock_result()).stock.numbers
    found = _built_curve("stock", stock_carrier(work.space), None, Shares(1.0, 1.0))
    end = found.points[-1]
    assert (stock.most_payload_g, stock.payload_end) == (found.most_g, found.end_words)
    assert (stock.loaded_range_km, stock.loaded_cruise_kmh, stock.loaded_cg_mm) == pytest.approx(
        (end.range_km, end.cruise_speed_kmh, end.balance_mm)
    )


def test_a_payload_must_fit_and_its_bay_must_exist(work):
    bay = work.study.bay[0].name
    with pytest.raises(CommandError, match="The payload has no room"):
        loaded(work.space, Payload(bay=bay, size=(0.08, 0.06, 0.2)), 0.1, 0.14)
    assert loaded(work.space, Payload(), 0.0, 0.14) is work.space
    with pytest.raises(CommandError, match=f"has no bay {bay}x. Did you mean {bay}?"):
        refuse_unknown_bay(work.study, Payload(bay=bay + "x"))


def test_a_front_over_payload_ends_at_the_largest_and_keeps_what_gains(work, monkeypatch):
    """Check an invented wing that carries 300 g and loses 1 km for each 100 g, but for one search that ended badly."""

    def at(mass):
        gain = 50e3 - 10e3 * mass - (20e3 if 0.1 < mass < 0.17 else 0.0)
        met = {"climb": 0.3 - mass + 1e-6}
        return curves._State(None, {}, {}, met, work.space, SimpleNamespace(gain=gain))

    monkeypatch.setattr(curves, "_best_wing", lambda *asked: at)
    monkeypatch.setattr(curves, "_mark", lambda *asked: 0.2)
    monkeypatch.setattr(StudySession, "ranked", lambda session: [SimpleNamespace(choice=None, variables={})])
    wings = curves.best_carrying(work, 5)
    masses = [one.mass for one in wings]
    assert masses[0] == pytest.approx(0.3, rel=0.04) and masses[-1] == 0.0
    assert masses == sorted(masses, reverse=True) and not [mass for mass in masses if 0.1 < mass < 0.17]
    gains = [one.result.gain for one in wings]
    assert gains == sorted(gains) and len(wings) >= 4
