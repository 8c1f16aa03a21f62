"""An invented flight from its text to stretches and wind, and complete messages for every refused log."""

from pathlib import Path

import numpy as np
import pytest
from helpers.invented.invented_log import COLUMNS, Disturbance, Leg, circuit, invented_log
from helpers.readers.measured_file import measurements_from
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from tradestudy.errors import MeasurementsError, RunFailed
from tradestudy.physics.flight_log.steady_stretches import CLIMB, GLIDE, LEVEL, TURN
from tradestudy.physics.flight_log.wind_estimate import wind_at
from tradestudy.study.flight_logs.read_log import parse_log
from tradestudy.uncertainty.fit.log_refusals import AircraftLimits
from tradestudy.uncertainty.fit.prepared_log import likenesses, prepared_log_of

WIND = (3.0, -2.0)
GUIDE = [Leg(20, 14, climb=2.0), *circuit(14), Leg(30, 12, climb=-1.0, motor=False), *circuit(17)]
NO_SPEED = COLUMNS.replace('ground_speed = "Speed (km/h)"\ncourse = "Course (deg)"\n', "")


def amps_of(airspeed, climb):
    """Return the current of an invented wing: it cruises at 4.5 A at 14 m/s and at 6.2 A at 17 m/s."""
    return 4 + 0.06 * (airspeed - 11) ** 2 + 1.5 * np.maximum(climb, 0)


@pytest.fixture()
def measured(tmp_path):
    def of(text=COLUMNS):
        return measurements_from(text, tmp_path)

    return of


def flown(text, measurements, **aircraft):
    return prepared_log_of(
        parse_log(text.encode(), Path("flight.csv"), measurements), measurements, AircraftLimits(**aircraft)
    )


def made(legs=GUIDE, rate=2.0, seed=3, amps=amps_of, **disturbance):
    return invented_log(legs, amps, Disturbance(wind=WIND, **disturbance), rate=rate, seed=seed)


@pytest.mark.parametrize(
    ("columns", "error"),
    [
        (COLUMNS, 0.45),  # m/s: the error of the wind, and 0.3 m/s of noise
        (
            NO_SPEED,
            0.8,
        ),  # m/s: a metre of noise in positions is 0.5 m/s from step to step, and short turns have four steps
    ],
    ids=["speed and course", "positions alone"],
)
def test_a_complete_flight(columns, error, measured):
    log = made(gaps=1)
    flight = flown(log.text, measured(columns))
    assert flight.wind_known and not flight.wind.drifts
    assert flight.wind.wind[0] == pytest.approx(WIND, abs=0.3)  # legs differ by 0.2 m/s in airspeed
    kinds = [segment.kind for segment in flight.segments]
    assert kinds.count(LEVEL) >= 7 and kinds.count(TURN) >= 5 and {CLIMB, GLIDE} <= set(kinds)
    for segment, deviation in zip(flight.segments, flight.airspeed_deviation, strict=True):
        inside = (log.time > segment.start) & (log.time < segment.end)
        true = float(np.mean(log.airspeed[inside]))
        assert segment.airspeed == pytest.approx(true, abs=error)
        assert 0 < deviation < 0.4
        if segment.kind in (LEVEL, GLIDE):
            assert segment.amps == pytest.approx(float(np.mean(log.amps[inside])), rel=0.02)  # 4 % of noise on 40 rows


def test_a_drifting_wind_is_reported(measured):
    flight = flown(made(circuit(14, rounds=7), rate=1.0, wind_change=(-4.0, 3.0)).text, measured())
    assert flight.wind.drifts
    ends, _ = wind_at(flight.wind, flight.log_steps.time[[0, -1]])
    assert ends[:, 0] == pytest.approx(WIND, abs=0.7) and ends[:, 1] == pytest.approx([-1, 1], abs=0.7)  # usually 0.2
    assert flight.notes[-1].startswith("The wind drifted: 3.") and "at the end, 14 minutes later." in flight.notes[-1]


def test_one_heading_gives_no_wind_and_no_airspeed(measured):
    flight = flown(made([Leg(60, 14)]).text, measured())
    assert not flight.wind_known and np.isnan(flight.segments[0].airspeed)
    assert np.isinf(flight.airspeed_deviation).all()
    assert flight.notes[-1].startswith("The headings flown do not give the wind (to ")
    assert flight.notes[-1].endswith("airspeeds stay unknown. Fly a closed square or circle.")


def with_sensor(log, scale=1.0):
    """Return the text of a log with a column of an airspeed sensor."""
    head, *rows = log.text.splitlines()
    sensed = (f"{row},{scale * speed:.2f}" for row, speed in zip(rows, log.airspeed, strict=True))
    return "\n".join([head + ",Air (m/s)", *sensed])


def test_a_sensor_gives_the_airspeed_where_the_wind_is_unknown(measured):
    text = with_sensor(made([Leg(60, 14)]))
    flight = flown(text, measured(COLUMNS + 'airspeed = "Air (m/s)"\n'))
    assert not flight.wind_known
    assert flight.segments[0].airspeed == pytest.approx(14.0, abs=0.5)  # the wander of an invented leg
    assert flight.airspeed_deviation[0] == pytest.approx(0.05 * 14.0, rel=0.05)
    assert flight.notes[-1].endswith("airspeeds are those of the sensor, taken as right to 5 %.")


@pytest.mark.parametrize("zero", ["0.00", "0"])
def test_a_dropout_with_speed_zero_is_no_flight(zero, measured):
    """Check half a minute in which a receiver without fix writes no position and the speed 0, in a wind of 3.6 m/s.

    Against the wind, standing still looks like level flight at the speed of the wind.
    """
    head, *rows = made().text.splitlines()
    columns = [head.split(",").index(name) for name in ("Lat (deg)", "Lon (deg)", "Speed (km/h)")]
    start = len(rows) // 2
    for number in range(start, start + 60):
        cells = rows[number].split(",")
        for column, value in zip(columns, ("", "", zero), strict=True):
            cells[column] = value
        rows[number] = ",".join(cells)
    flight = flown("\n".join([head, *rows]), measured())
    lost = [float(rows[number].split(",")[0]) - float(rows[0].split(",")[0]) for number in (start, start + 59)]
    for segment in flight.segments:
        assert segment.end < lost[0] + 2.0 or segment.start > lost[1] - 2.0
        assert segment.ground_speed > 5.0
    assert any(note.startswith("ground_speed: 0 without a position on lines ") for note in flight.notes)


def test_stretches_are_left_out_by_number(measured):
    text = made().text
    every = flown(text, measured())
    fewer = flown(text, measured(COLUMNS + "[segments]\nleave_out = [1, 3]\n"))
    assert [segment.start for segment in fewer.segments] == [segment.start for segment in every.segments]
    assert fewer.used == (False, True, False, *[True] * (len(every.used) - 3))
    assert fewer.wind.used < every.wind.used
    assert np.isinf(fewer.airspeed_deviation[[0, 2]]).all()
    only = flown(text, measured(COLUMNS + "[segments]\nuse_only = [2, 4, 6, 8]\n"))
    assert [number for number, used in enumerate(only.used, start=1) if used] == [2, 4, 6, 8]
    with pytest.raises(MeasurementsError) as caught:
        flown(text, measured(COLUMNS + "[segments]\nleave_out = [99]\n"))
    assert f"segments.leave_out names stretch 99; the log has {len(every.segments)}." in str(caught.value)


def changed(text, heading, change):
    """Return the log with every value of one column changed."""
    head, *rows = text.splitlines()
    place = head.split(",").index(heading)
    cells = [row.split(",") for row in rows]
    for row in cells:
        row[place] = change(row[place])
    return "\n".join([head, *(",".join(row) for row in cells)]) + "\n"


def times(factor):
    return lambda value: f"{factor * float(value):.4f}"


ROUND = made(circuit(14)).text
WANDERING = made([Leg(4, 12 + 6 * (n % 2), turn=(-1) ** n * 1.0, climb=2.0 * (-1) ** (n // 2)) for n in range(30)]).text
REFUSED = {
    "another wing, slower": (
        ROUND,
        COLUMNS + '[flight]\nstall_speed = "18 m/s"\n',
        {},
        "Level cruise at 50 km/h through the air is slower than the stall at 65 km/h: another aircraft, or the wrong "
        "unit of speed?",
    ),
    "another wing, faster": (
        ROUND,
        COLUMNS,
        {"full_throttle_speed": 11.0},
        "Level cruise at 50 km/h through the air is faster than full throttle at 40 km/h: another aircraft, or the "
        "wrong unit of speed?",
    ),
    "another weight": (
        ROUND,
        COLUMNS + '[flight]\nflying_weight = "4 kg"\n',
        {"flying_weight": 1.25},
        "The wing flown weighs 4000 g, 3.2 times the 1250 g of the study: another aircraft?",
    ),
    "one cell's volts": (
        changed(ROUND, "Pack (V)", times(0.25)),
        COLUMNS,
        {"fewest_volts": 11.0, "most_volts": 17.0},
        "volts is 4.0 V where the pack of the study has 11.0 to 17.0 V: another pack, or one cell alone?",
    ),
    "constant current": (
        changed(ROUND, "Current (A)", lambda _: "5.2"),
        COLUMNS,
        {},
        "amps stays at 5.2 A for 124 s of flight: the sensor or the column is not the current of the pack.",
    ),
    "mA taken for A": (
        ROUND.replace("Current (A)", "I"),
        COLUMNS.replace('"Current (A)"', '["I", "mA"]'),
        {},
        "The current adds up to 0.1557 mAh where the column of charge used counts 155 mAh: one of the two has the "
        "wrong unit or is another channel. A are taken for mA, or mAh for Ah.",
    ),
    "A taken for mA, charge not logged": (
        ROUND.replace("Current (A)", "I"),
        COLUMNS.replace('"Current (A)"', '["I", "mA"]').replace('charge_used = "Used (mAh)"\n', ""),
        {},
        "amps is 0.004537 A in level cruise: are A taken for mA?",
    ),
    "km/h taken for m/s": (
        ROUND.replace("Speed (km/h)", "v"),
        COLUMNS.replace('"Speed (km/h)"', '["v", "m/s"]'),
        {},
        "ground_speed is 3.60 times what the positions say, as km/h read as m/s would be. Look at the units of "
        "ground_speed and of the position.",
    ),
    "a compass for a course": (
        changed(ROUND, "Course (deg)", lambda v: f"{(float(v) + 40) % 360:.1f}"),
        COLUMNS,
        {},
        "course is 39 degrees off the way between positions, by the middle value: is it a compass heading, or are "
        "latitude and longitude exchanged?",
    ),
    "nothing steady": (
        WANDERING,
        COLUMNS,
        {},
        "No steady stretch in 120 s of flight. Wanted are 8 s straight at one height (within 0.3 m/s), one speed "
        "(within 0.15 m/s each second) and one throttle; or 4 s of an even turn. Fly hands off, level, along the "
        "sides of a square.",
    ),
    "never flew": (
        changed(ROUND, "Speed (km/h)", lambda _: "1.8"),
        COLUMNS,
        {},
        "The wing moved faster than 3 m/s for less than 20 s; the fastest is 0.50 m/s. Is this the log of a flight, "
        "and is the unit of the speed right?",
    ),
    "too coarse": (
        "\n".join([ROUND.splitlines()[0], *ROUND.splitlines()[1::9]]),
        COLUMNS,
        {},
        "The log has a row every 4.5 s; to tell turns from straight flight, one every 3 s or more often is wanted.",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_its_reason(name, measured):
    text, columns, aircraft, sentence = REFUSED[name]
    with pytest.raises(RunFailed) as caught:
        flown(text, measured(columns), **aircraft)
    assert str(caught.value) == f"flight.csv cannot be used:\n  {sentence}"


def test_a_current_sensor_that_is_off_is_reported(measured):
    flight = flown(changed(ROUND, "Current (A)", times(1.4)), measured())
    assert any(note.endswith("one of the two sensors is off by more than a quarter.") for note in flight.notes)
    fine = flown(ROUND, measured(), stall_speed=9.0, full_throttle_speed=25.0, flying_weight=1.3)
    assert not any("quarter" in note for note in fine.notes)


@pytest.mark.parametrize("speeds", [(14,), (12, 18)])
def test_an_airspeed_sensor_that_reads_high_is_reported(measured, speeds):
    text = with_sensor(made([leg for speed in speeds for leg in circuit(speed)], seed=4), 1.2)
    flight = flown(text, measured(COLUMNS + 'airspeed = "Air (m/s)"\n'))
    assert flight.notes[-1] == (
        "The airspeed sensor reads 1.20 times what ground velocity and wind give; the latter is used."
    )


def test_similar_stretches_share_a_number(measured):
    flight = flown(made().text, measured())
    numbers = likenesses(list(flight.segments))
    level = [
        (number, segment.amps)
        for number, segment in zip(numbers, flight.segments, strict=True)
        if segment.kind == LEVEL
    ]
    slow = {number for number, amps in level if amps < 5.2}
    fast = {number for number, amps in level if amps > 5.2}
    assert len(slow) == len(fast) == 1 and slow != fast
    assert len(set(numbers)) == 6  # level and turns at two currents, climb, glide


def test_one_circuit_at_a_row_a_second_from_its_text(measured):
    """Check wind within 0.5 m/s and ten degrees from one closed circuit with 0.5 m/s of noise, through the reader."""
    measurements, good = measured(), 0
    for number in range(15):
        random = np.random.default_rng(number)
        speed, origin = random.uniform(2, 8), random.uniform(0, 2 * np.pi)
        true = speed * np.array([np.cos(origin), np.sin(origin)])
        log = invented_log(
            [Leg(5, 14), *circuit(14)],
            amps_of,
            Disturbance(wind=tuple(true), speed_noise=0.5),
            rate=1.0,
            seed=number,
            heading=random.uniform(0, 6),
        )
        wind = flown(log.text, measurements).wind.wind[0]
        turned = abs((np.arctan2(wind[1], wind[0]) - np.arctan2(true[1], true[0]) + np.pi) % (2 * np.pi) - np.pi)
        good += np.hypot(*(wind - true)) < 0.5 and np.degrees(turned) < 10
    assert good >= 14


@seed(7)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["blank", "hold", "cut", "zero", "double", "stir"]),
            st.integers(0, 10),
            st.integers(0, 247),
            st.integers(0, 247),
        ),
        min_size=1,
        max_size=4,
    ),
    st.booleans(),
)
def test_torn_logs_end_in_stretches_or_reasons(measured, tears, by_position):
    head, *rows = ROUND.splitlines()
    rows = [row.split(",") for row in rows]
    for tear, column, one, other in tears:
        first, end = sorted((min(one, len(rows)), min(other, len(rows))))
        if tear == "cut":
            rows = rows[:first] + rows[end:]
        elif tear == "double":
            rows = rows + rows[first:end]
        elif tear == "stir":
            rows[first:end] = rows[first:end][::-1]
        for row in rows[first:end] if tear in ("blank", "hold", "zero") else []:
            row[column] = {"blank": "", "hold": rows[first][column], "zero": "0"}[tear]
    text = "\n".join([head, *(",".join(row) for row in rows)])
    try:
        flight = flown(text, measured(NO_SPEED if by_position else COLUMNS))
    except (RunFailed, MeasurementsError) as error:
        assert len(str(error).splitlines()) > 1
        return
    assert flight.segments and len(flight.used) == len(flight.segments) == len(flight.airspeed_deviation)
    for segment in flight.segments:
        assert 4 <= segment.duration and segment.ground_speed > 0
