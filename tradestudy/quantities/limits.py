"""The limits of a search: for each limit its output, its bound, the origin of the bound, and its words in a report.

A new limit is one entry of `LIMITS`. Its output must be an output of the model. Its bound is a key of the study, a
share of the stock wing's value, a constant, or a rule in `aircraft.model.limit_bounds.COMPUTED_BOUNDS`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import NamedTuple

from .quantities import QUANTITIES, Quantity, output_quantity
from .units import to_si

STUDY, STOCK, PRACTICE, MAKER = "the study", "the stock wing", "common practice", "the cell's maker"
AT_LEAST, AT_MOST = +1, -1
# whose rule a limit is: the builder's own, the stock wing's, one of practice, a maker's rating, the room there is, or
# what the model holds for
YOURS, STOCK_WINGS, OF_PRACTICE, RATING, ROOM = "you", "your stock wing", "practice", "the maker", "the room there is"
OF_MODEL = "the model"


class KeyBound(NamedTuple):
    """A bound that is the value of a key of the study. If the key has no value, the limit does not exist."""

    key: str
    given: str = ""  # origin shown for a value that the study gives; if empty, the key is shown
    assumed: str = ""  # origin shown for a value that was assumed
    whose: str = YOURS  # whose rule a given value is; an assumed one is of practice, a rating stays a rating


class StockShareBound(NamedTuple):
    """A bound that is a share of the stock wing's value. If the stock wing has no such value, no limit exists."""

    stock: str  # name of a field of `StockReference`
    share: str  # name of the key of the study whose value is the share


class FixedBound(NamedTuple):
    """A bound that is the same for every study."""

    bound: float
    given: str  # origin shown for the bound
    key: str = ""  # key of the study on which the output depends
    assumed: str = ""  # origin shown instead if the value of that key was assumed


class ComputedBound(NamedTuple):
    """A bound that is computed. ``rule`` is its name in `aircraft.model.limit_bounds.COMPUTED_BOUNDS`."""

    rule: str


class Step(NamedTuple):
    """A small step by which a bound is relaxed, with words for a builder.

    The price of a limit is the gain of the objective after this step.
    """

    size: float  # change of the bound, in SI
    words: str
    of_scale: bool = False  # True if ``size`` is a share of the limit's scale


class SpeedPair(NamedTuple):
    """The two speeds that a report compares for a limit on spare lift or thrust.

    Both fields are names of speeds in `aircraft.assessment`.
    """

    value: str  # speed shown as the value: "cruise", "stall ahead" or "top"
    bound: str  # speed shown as the bound: "least cruise", "slowest flight" or "full speed"


@dataclass(frozen=True)
class LimitDeclaration:
    """One limit on one ``output`` of the model.

    ``sense`` is +1 if the output must be at least the bound, and -1 if it must be at most the bound. Margins are
    divided by ``scale``, so that they are of order one. If ``scale`` is 0, they are divided by the bound.

    ``words`` are its one name everywhere, unless the bound has a name of its own for a study. ``conflict`` replaces it
    in a sentence where limits conflict, only where grammar demands it.

    If the output has a value for each flight condition, ``condition`` names the condition that is limited.
    """

    name: str
    words: str
    output: str
    sense: int
    bound: KeyBound | StockShareBound | FixedBound | ComputedBound
    step: Step
    scale: float = 0.0
    condition: str = ""
    conflict: str = ""
    depends_on_parts: bool = False  # True if the output depends only on the parts bought
    reported_as: str = field(default="", kw_only=True)  # key of the quantity that is shown instead of the output
    reported_sense: int = field(default=0, kw_only=True)  # sense of the quantity shown; 0 means the same as ``sense``
    reported_negated: bool = field(default=False, kw_only=True)  # True if the value is shown with its sign changed
    speeds: SpeedPair | None = field(default=None, kw_only=True)  # two speeds that are shown instead of the output

    @property
    def quantity(self) -> Quantity:
        """Return the quantity in which value and bound of the limit are shown."""
        return QUANTITIES[self.reported_as] if self.reported_as else output_quantity(self.output)

    def conflict_words(self, study_words: str) -> str:
        """Return the name of the limit in a conflict. ``study_words`` is the name for this study."""
        return self.conflict or study_words

    @property
    def side(self) -> str:
        """Return "at least" or "at most" for the quantity that is shown."""
        return "at least" if (self.reported_sense or self.sense) > 0 else "at most"


def _strength(condition: str, words: str) -> LimitDeclaration:
    return LimitDeclaration(
        f"strength_{condition}",
        f"strength used in a {words}",
        "utilisation",
        AT_MOST,
        ComputedBound("utilisation"),
        Step(0.01, "1 % more of its strength used"),
        condition=condition,
    )


def _of_stock(name: str, words: str, share: str, step: str) -> LimitDeclaration:
    return LimitDeclaration(
        name,
        words,
        name,
        AT_LEAST,
        StockShareBound(name, share),
        Step(0.01, f"1 % of the stock wing's {step} less", of_scale=True),
    )


def _room(name: str, words: str, output: str, rule: str, where: str) -> LimitDeclaration:
    step = Step(to_si(1, "mm", "length"), f"1 mm more room {where}")
    return LimitDeclaration(name, words, output, AT_LEAST, ComputedBound(rule), step, scale=0.01)


LIMITS: dict[str, LimitDeclaration] = {
    each.name: each
    for each in (
        LimitDeclaration(
            "up_elevon",
            "up-elevon in cruise",
            "elevon",
            AT_LEAST,
            ComputedBound("elevon"),
            Step(to_si(1, "deg", "angle"), "1 deg more elevon in cruise"),
            scale=0.1,
            condition="cruise",
            reported_negated=True,
            reported_sense=AT_MOST,
        ),
        LimitDeclaration(
            "down_elevon",
            "down-elevon in cruise",
            "elevon",
            AT_MOST,
            ComputedBound("elevon"),
            Step(to_si(1, "deg", "angle"), "1 deg more elevon in cruise"),
            scale=0.1,
            condition="cruise",
        ),
        LimitDeclaration(
            "cruise_over_stall",
            "least cruise over stall",
            "stall_margin",
            AT_LEAST,
            ComputedBound("least_cruise"),
            Step(0.05, "cruise slower by 0.05 times the stall speed"),
            scale=1.0,
            condition="slow",
            conflict="cruise speed over stall speed",
            speeds=SpeedPair("cruise", "least cruise"),
        ),
        LimitDeclaration(
            "slowest_flight",
            "stall speed",
            "stall_margin",
            AT_LEAST,
            ComputedBound("slowest_flight"),
            Step(to_si(1, "km/h", "speed"), "1 km/h more stall speed"),
            scale=1.0,
            condition="slowest",
            reported_as="stall_speed_kmh",
            reported_sense=AT_MOST,
            speeds=SpeedPair("stall ahead", "slowest flight"),
        ),
        LimitDeclaration(
            "tips_left",
            "lift left at the tips when the stall begins",
            "tips_left",
            AT_LEAST,
            ComputedBound("tips_left"),
            Step(0.01, "1 % less lift left at the tips when the stall begins"),
            scale=0.1,
        ),
        LimitDeclaration(
            "launch_height_left",
            "height left after a throw by hand",
            "launch_height_left",
            AT_LEAST,
            ComputedBound("launch"),
            Step(0.1, "0.1 m less height after a throw"),
            scale=1.0,
        ),
        LimitDeclaration(
            "failure_load_factor",
            "load factor at which it breaks in a pull-up",
            "failure_load_factor",
            AT_LEAST,
            ComputedBound("strength"),
            Step(0.1, "breaking 0.1 g earlier in a pull-up"),
            condition="pull_up",
        ),
        LimitDeclaration(
            "tip_deflection",
            "bend of the tips in a pull-up",
            "deflection_share",
            AT_MOST,
            ComputedBound("bend"),
            Step(0.001, "tips that bend 0.1 % of the half span more in a pull-up"),
            condition="pull_up",
        ),
        LimitDeclaration(
            "climb",
            "climb at full throttle",
            "climb_speed",
            AT_LEAST,
            KeyBound("limits.climb", STUDY, PRACTICE),
            Step(0.1, "0.1 m/s less climb"),
            scale=5.0,
        ),
        LimitDeclaration(
            "full_speed",
            "top speed against the never-exceed speed",
            "surplus_thrust",
            AT_MOST,
            FixedBound(
                0.0, "never-exceed speed over 1.2", "fly.never_exceed_speed", "never-exceed speed, assumed, over 1.2"
            ),
            Step(to_si(1, "km/h", "speed"), "1 km/h more top speed"),
            scale=0.5,
            reported_as="top_speed_kmh",
            speeds=SpeedPair("top", "full speed"),
        ),
        LimitDeclaration(
            "end_throttle",
            "throttle needed at the end of the flight",
            "end_throttle",
            AT_MOST,
            KeyBound("controller.throttle_cap", "full throttle is all there is", "full throttle is all there is", ROOM),
            Step(0.01, "1 % more throttle at the end of the flight"),
            scale=1.0,
        ),
        LimitDeclaration(
            "cell_current",
            "cell current at the end of the flight",
            "end_current",
            AT_MOST,
            ComputedBound("cell_current"),
            Step(1.0, "1 A more out of the cells at the end of the flight"),
        ),
        LimitDeclaration(
            "cell_voltage",
            "pack voltage at the end of the flight",
            "end_voltage",
            AT_LEAST,
            ComputedBound("cell_voltage"),
            Step(0.1, "0.1 V less at the end of the flight"),
        ),
        LimitDeclaration(
            "full_throttle_motor",
            "motor current at full throttle",
            "full_throttle_motor_current",
            AT_MOST,
            KeyBound("motor.maximum_current", whose=RATING),
            Step(1.0, "1 A more at full throttle"),
            depends_on_parts=True,
        ),
        LimitDeclaration(
            "full_throttle_controller",
            "controller current at full throttle",
            "full_throttle_motor_current",
            AT_MOST,
            KeyBound("controller.maximum_current", whose=RATING),
            Step(1.0, "1 A more at full throttle"),
            depends_on_parts=True,
        ),
        LimitDeclaration(
            "full_throttle_cells",
            "cell current at full throttle",
            "full_throttle_current",
            AT_MOST,
            ComputedBound("cell_current"),
            Step(1.0, "1 A more out of the cells at full throttle"),
            depends_on_parts=True,
        ),
        _strength("pull_up", "pull-up"),
        _strength("push_over", "push-over"),
        _strength("gust_cruise", "gust at cruise"),
        _strength("gust_full_speed", "gust at full speed"),
        _of_stock("fin_volume", "fin volume", "limits.fin_volume_share", "fin volume"),
        LimitDeclaration(
            "roll_control",
            "roll control left",
            "roll_control",
            AT_LEAST,
            ComputedBound("control"),
            Step(0.01, "1 % less roll control left by twist"),
            scale=1.0,
        ),
        LimitDeclaration(
            "pitch_control",
            "pitch control left",
            "pitch_control",
            AT_LEAST,
            ComputedBound("control"),
            Step(0.01, "1 % less pitch control left by twist"),
            scale=1.0,
        ),
        LimitDeclaration(
            "twist_off_share",
            "how near it is to twisting off at the never-exceed speed",
            "twist_off_share",
            AT_MOST,
            ComputedBound("twist_off"),
            Step(0.01, "1 % nearer to twisting off"),
            scale=1.0,
        ),
        LimitDeclaration(
            "servo_torque",
            "servo torque for full elevon",
            "servo_load",
            AT_MOST,
            ComputedBound("servo"),
            Step(to_si(1, "N cm", "moment"), "1 N cm more servo torque"),
        ),
        _of_stock("yaw_stiffness", "turning back into the wind", "limits.yaw_stiffness_share", "turning into the wind"),
        _of_stock("roll_per_metre", "roll at equal speed", "limits.roll_rate_share", "roll"),
        LimitDeclaration(
            "flying_weight",
            "flying weight",
            "all_up_mass",
            AT_MOST,
            KeyBound("limits.flying_weight", STUDY, STUDY),
            Step(to_si(10, "g", "mass"), "10 g more flying weight"),
        ),
        _room("fits_section", "room for bays and joiner in the section", "clearance", "fit", "in the section"),
        replace(
            _room(
                "pack_fits_section",
                "room for the pack's bay in the section",
                "pack_clearance",
                "pack_fit",
                "in the section",
            ),
            reported_as="clearance_mm",
        ),
        _room("rods_clear", "room between rods and bays", "rod_room", "rods_clear", "between rods and bays"),
        _room("tip_room", "room at the tips for rods, pockets and fins", "tip_room", "tips", "at the tips"),
        LimitDeclaration(
            "pack_forward",
            "pack as far forward as it can lie",
            "pack_position",
            AT_LEAST,
            ComputedBound("pack"),
            Step(to_si(10, "mm", "length"), "10 mm more bay for the pack"),
            scale=0.05,
            conflict="place of the pack behind the nose",
        ),
        LimitDeclaration(
            "pack_aft",
            "pack as far back as it can lie",
            "pack_position",
            AT_MOST,
            ComputedBound("pack"),
            Step(to_si(10, "mm", "length"), "10 mm more bay for the pack"),
            scale=0.05,
            conflict="place of the pack behind the nose",
        ),
    )
}
