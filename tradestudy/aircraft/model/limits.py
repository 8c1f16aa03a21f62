"""What must hold: every limit as a scaled margin that is positive when met, with words for a builder."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tradestudy.physics.flight.control import CONTROL_LEFT, MOST_FEEDBACK
from tradestudy.physics.flight.trimmed_flight import LEVEL_CONDITIONS, LOAD_CONDITIONS
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR
from tradestudy.physics.weights.pack_dimensions import PLAY, cells_side_by_side, pack_size
from tradestudy.study.schema.study import Study

from .choices import CELLS_ACROSS, WHATEVER_FITS, Choice, decided

STRONG_ENOUGH = 2 * SAFETY_FACTOR  # times the pull-up asked for; more than that is no yardstick. Common practice
STIFF_ENOUGH = 0.015  # tip deflection over semi-span in that pull-up; less is no yardstick. Common practice
ACTIVE_BELOW = 2e-3  # scaled margin under which a limit counts as the one that stops the design
LEAST_ELEVON = np.radians(1.0)  # a stock wing that trims with none sets no bound: that is under 1 mm on most elevons
MET_ABOVE = -1e-4  # scaled margin over which a limit counts as met: a hundredth of a per cent

CRUISE, SLOW, LAUNCH = (LEVEL_CONDITIONS.index(name) for name in ("cruise", "slow", "launch"))
PULL_UP = LOAD_CONDITIONS.index("pull_up")
SLOW_FLIGHT = ("cruise_over_stall", "slowest_flight")  # limits on the stall margin of every strip


@dataclass(frozen=True)
class Limit:
    """One limit on one output: ``sign * (output - bound) / scale`` must not be negative.

    ``index`` picks elements of a vector output (None: the whole, every element is a limit of its own).
    """

    name: str
    words: str
    output: str
    bound: float
    scale: float
    sign: int  # +1: at least the bound, -1: at most
    index: slice | None = None

    def margin(self, value) -> np.ndarray:
        """Return scaled margins (n,), negative where the limit is broken."""
        return self.sign * (self.picked(np.atleast_1d(value)) - self.bound) / self.scale

    def margin_slope(self, slope: np.ndarray) -> np.ndarray:
        """Return slopes (n,) of the margins from slopes of the output (flattened)."""
        return self.sign * self.picked(slope) / self.scale

    def picked(self, flat):
        """Return the elements (n,) that this limit is about."""
        flat = np.asarray(flat).reshape(-1)
        return flat if self.index is None else flat[self.index]


@dataclass(frozen=True)
class StockReference:
    """What the stock wing does, as the yardstick of the stretched one. SI."""

    static_margin: float
    elevon: float
    stall_speed: float
    failure_load_factor: float
    utilisation: np.ndarray
    deflection_share: float
    fin_volume: float
    yaw_stiffness: float
    roll_per_metre: float
    twist_off_share: float
    control_speed: float  # where twist has taken all but 0.4 of its roll control [m/s]


def slowest_speed(study: Study, reference: StockReference) -> tuple[float, str]:
    """Return the speed at which no strip may stall, and which rule set it."""
    by_ratio = study.limits.stall_speed_ratio * reference.stall_speed
    launch = study.fly.launch_speed
    if launch is not None and launch < by_ratio:
        return launch, "stall at launch speed"
    return by_ratio, "stall speed against stock"


def control_speed(study: Study, reference: StockReference) -> float:
    """Return the airspeed up to which elevons must keep their say: a share of the stock wing's. [m/s]"""
    return study.limits.control_speed_share * reference.control_speed


def limits_of(study: Study, reference: StockReference, choice: Choice, n_strip: int) -> list[Limit]:
    """Return every limit of one choice. What the study leaves out is set from the stock wing."""
    study = decided(study, choice)
    limits = study.limits
    cell = study.pack.cell_numbers
    elevon = limits.up_elevon if limits.up_elevon is not None else max(abs(reference.elevon), LEAST_ELEVON)
    strength = limits.failure_load_factor
    if strength is None:  # a wing far stronger, or stiffer, than anybody asks for need not stay so
        strength = min(reference.failure_load_factor, STRONG_ENOUGH * study.fly.pull_up)
    bend = limits.tip_deflection
    if bend is None:
        bend = max(reference.deflection_share, STIFF_ENOUGH)
    cell_current = cell["maximum_current"] * choice.parallel
    _, stall_words = slowest_speed(study, reference)
    found = [
        Limit("up_elevon", "elevon in cruise, trailing edge up", "elevon", -elevon, 0.1, +1, slice(CRUISE, CRUISE + 1)),
        Limit("down_elevon", "elevon in cruise, trailing edge down", "elevon", elevon, 0.1, -1,
              slice(CRUISE, CRUISE + 1)),
        Limit("cruise_over_stall", "cruise at 1.3 times stall", "stall_margin", 0.0, 1.0, +1,
              slice(SLOW * n_strip, (SLOW + 1) * n_strip)),
        Limit("slowest_flight", stall_words, "stall_margin", 0.0, 1.0, +1,
              slice(LAUNCH * n_strip, (LAUNCH + 1) * n_strip)),
        Limit("failure_load_factor", "strength in a pull-up", "failure_load_factor", strength, strength, +1,
              slice(PULL_UP, PULL_UP + 1)),
        Limit("tip_deflection", "tip deflection in a pull-up", "deflection_share", bend, bend, -1,
              slice(PULL_UP, PULL_UP + 1)),
        Limit("climb", "climb at full throttle", "climb_speed", limits.climb, 5.0, +1),
        Limit("full_speed", "full-throttle speed against never-exceed speed", "surplus_thrust", 0.0, 0.5, -1),
        Limit("end_throttle", "throttle left at the end of the flight", "end_throttle",
              study.controller.throttle_cap, 1.0, -1),
        Limit("cell_current", "cell current at the end of the flight", "end_current", cell_current, cell_current, -1),
        Limit("cell_voltage", "pack voltage at the end of the flight", "end_voltage",
              cell["minimum_voltage"] * choice.series, 3.0 * choice.series, +1),
        Limit("full_throttle_motor", "motor current at full throttle", "full_throttle_motor_current",
              study.motor.maximum_current, study.motor.maximum_current, -1),
        Limit("full_throttle_controller", "controller current at full throttle", "full_throttle_motor_current",
              study.controller.maximum_current, study.controller.maximum_current, -1),
        Limit("full_throttle_cells", "cell current at full throttle", "full_throttle_current", cell_current,
              cell_current, -1),
    ]
    for index, condition in enumerate(LOAD_CONDITIONS):
        # the safety factor, or what the stock wing has been living with where that is more; never past breaking
        allowed = min(1.0, max(1 / SAFETY_FACTOR, float(reference.utilisation[index])))
        words = f"strength used in the {condition.replace('_', ' ')}"
        found.append(Limit(f"strength_{condition}", words, "utilisation", allowed, allowed, -1,
                           slice(index, index + 1)))
    if reference.fin_volume > 0:
        least = limits.fin_volume_share * reference.fin_volume
        found.append(Limit("fin_volume", "fin volume", "fin_volume", least, reference.fin_volume, +1))
    speed = f"{3.6 * control_speed(study, reference):.0f} km/h"
    found += [
        Limit("roll_control", f"roll control left at {speed}", "roll_control", CONTROL_LEFT, 1.0, +1),
        Limit("pitch_control", f"pitch control left at {speed}", "pitch_control", CONTROL_LEFT, 1.0, +1),
        Limit("twist_off_share", "how near it is to twisting off at the never-exceed speed", "twist_off_share",
              max(MOST_FEEDBACK, reference.twist_off_share), 1.0, -1)]
    for name, words, share in (("yaw_stiffness", "turning back into the wind", limits.yaw_stiffness_share),
                               ("roll_per_metre", "roll at equal speed", limits.roll_rate_share)):
        has = getattr(reference, name)
        if has > 0:  # a stock wing that lacks it is no yardstick
            found.append(Limit(name, words, name, share * has, has, +1))
    if limits.flying_weight is not None:
        found.append(Limit("flying_weight", "flying weight", "all_up_mass", limits.flying_weight,
                           limits.flying_weight, -1))
    low, high = pack_reach(study, choice)
    found.append(Limit("pack_forward", "pack against the front of its bay", "pack_position", low, 0.05, +1))
    found.append(Limit("pack_aft", "pack against the back of its bay", "pack_position", high, 0.05, -1))
    return found


def pack_box(study: Study, choice: Choice) -> tuple[float, float, float]:
    """Return outside length, width and height of the chosen pack. [m]"""
    study = decided(study, choice)
    cell = study.pack.cell_numbers
    cells, across, high = choice.series * choice.parallel, study.pack.cells_across or 1, study.pack.cells_high
    if study.pack.cells_across == WHATEVER_FITS or any(used.key == CELLS_ACROSS for used in study.defaults_used):
        across = cells_side_by_side(cell["length"], cells, across, high, pack_bay(study).length - PLAY)
    return pack_size(cell["length"], cell["width"], cell["thickness"], cells, across, high)


def pack_bay(study: Study):
    """Return the bay that holds the pack."""
    return next(bay for bay in study.bay if bay.name == study.pack.bay)


def pack_reach(study: Study, choice: Choice) -> tuple[float, float]:
    """Return the foremost and rearmost place of the pack's centre in its bay. [m]"""
    bay, (length, _, _) = pack_bay(study), pack_box(study, choice)
    return bay.from_nose + 0.5 * length, bay.from_nose + bay.length - 0.5 * length


def pack_fault(study: Study, choice: Choice) -> str | None:
    """Return why the chosen pack cannot go into its bay at all, or None."""
    bay, sizes = pack_bay(study), pack_box(study, choice)
    for have, need, word in zip((bay.length, bay.width, bay.depth), sizes, ("long", "wide", "high"), strict=True):
        if need > have + 1e-6:
            return (f"the {choice.series}S{choice.parallel}P pack is {1e3 * need:.0f} mm {word}, "
                    f"the {bay.name} bay {1e3 * have:.0f} mm")
    return None


EDGE = {"elevon": ("angle", "deg"), "failure_load_factor": ("number", ""), "deflection_share": ("fraction", "%"),
        "climb_speed": ("speed", "m/s"), "end_throttle": ("fraction", "%"), "end_current": ("current", "A"),
        "end_voltage": ("voltage", "V"), "full_throttle_motor_current": ("current", "A"),
        "full_throttle_current": ("current", "A"), "all_up_mass": ("mass", "g"), "pack_position": ("length", "mm"),
        "utilisation": ("fraction", "%"), "yaw_stiffness": ("angular_slope", "per rad"),
        "roll_per_metre": ("angle_per_length", "deg/m")}
