"""Tests of ``tradestudy log``: its output for an invented flight, and its exit codes."""

import json
import re

import pytest
from helpers.invented.invented_log import COLUMNS, Disturbance, circuit, invented_log

from tradestudy.__main__ import main


@pytest.fixture()
def files(tmp_path):
    """Return the paths of a log and its measurements."""
    log, measurements = tmp_path / "flight.csv", tmp_path / "flown.toml"
    made = invented_log(
        circuit(14),
        lambda airspeed, climb: 4 + 0.06 * (airspeed - 11) ** 2,
        Disturbance(wind=(3.0, -2.0)),
        rate=2.0,
        seed=1,
    )
    log.write_text(made.text, encoding="utf-8")
    measurements.write_text(COLUMNS + "[segments]\nleave_out = [2]\n", encoding="utf-8")
    return log, measurements


def test_stretches_and_wind_in_eighty_columns(files, capsys):
    assert main(["log", *map(str, files)]) == 0
    lines = capsys.readouterr().out.splitlines()
    head = next(place for place, line in enumerate(lines) if line.startswith(" no  kind"))
    top = " ".join(" ".join(lines[:head]).split())
    assert re.match(r"\d+ of \d+ steady stretches can be compared with the model\.", top)
    assert f"{files[0]} holds 2.1 minutes in 248 rows. The wind was 3." in top
    assert " degrees, steady as far as the log" in top
    assert all(len(line) <= 80 for line in lines if str(files[0]) not in line)
    rows = lines[head + 2 : -2]
    assert [row.split()[0] for row in rows] == [str(number) for number in range(1, len(rows) + 1)]
    assert rows[0].split()[1:3] == ["level", "cruise"] and rows[1].split()[1] == "(turn)"
    assert all(len(row) == len(lines[head]) == len(lines[head + 1]) for row in rows)


def test_json_holds_the_same(files, capsys):
    assert main(["log", *map(str, files), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    # the usual error is 0.2
    assert document["wind_known"] and document["wind"][0]["speed_m_s"] == pytest.approx(13**0.5, abs=0.4)
    assert document["wind"][0]["from_deg"] == pytest.approx(146.3, abs=8)  # 0.4 m/s across a wind of 3.6 m/s
    second = document["segments"][1]
    assert (second["kind"], second["used"], second["airspeed_deviation_m_s"]) == ("turn", False, None)
    assert document["segments"][0]["watts_W"] == pytest.approx(
        document["segments"][0]["amps_A"] * document["segments"][0]["volts_V"], rel=0.01
    )  # mean of a product


def test_exit_codes(files, capsys):
    log, measurements = files
    measurements.write_text(COLUMNS.replace("time =", "tmie ="), encoding="utf-8")
    assert main(["log", str(log), str(measurements)]) == 2
    assert capsys.readouterr().err == (
        f"{measurements}: 1 problem; nothing was run.\n"
        "  line   2  columns.tmie is not a known key. Did you mean time?\n"
    )
    measurements.write_text(COLUMNS + '[flight]\nstall_speed = "30 m/s"\n', encoding="utf-8")
    assert main(["log", str(log), str(measurements)]) == 1
    assert "is slower than the stall at 108 km/h" in capsys.readouterr().err
    assert main(["log", str(log.parent / "flihgt.csv"), str(measurements)]) == 2
    assert capsys.readouterr().err.endswith("Did you mean flight.csv?\n")
