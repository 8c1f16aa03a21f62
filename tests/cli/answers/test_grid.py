"""Tests of the command grid: how axes are written, what is stored, and complete messages for wrong axes."""

import csv
import json
import math
import sys

import pytest
from helpers.places import GODWIT

from tradestudy.__main__ import main
from tradestudy.cli.grid import read_axes
from tradestudy.commands.key_grid.axes import checked_axes
from tradestudy.errors import CommandError

STUDY = str(GODWIT)
ALL = "span, sweep, washout, tip_chord, static_margin, cruise_speed, rod_diameter, parallel, rod_pairs, propeller"
A_KEY = "a key of the study such as fly.wind"
FORM = "An axis looks like span=1240:1740:20 (first, last, step) or parallel=2,3,4"


def test_axes_are_read_into_si():
    values = read_axes(["span=1240:1305:20", "sweep=20,18", "propeller=10x6,11x7"])
    assert values["span"] == pytest.approx([1.24, 1.26, 1.28, 1.3])  # the last step ends before the upper bound
    assert values["sweep"] == pytest.approx([math.radians(18), math.radians(20)])
    assert values["propeller"] == ["10x6", "11x7"]
    assert read_axes(["span=50:52:1 in"])["span"] == pytest.approx([1.27, 1.2954, 1.3208])  # inch: 25.4 mm
    assert read_axes(["cruise-speed=36:54:18"])["cruise_speed"] == pytest.approx([10.0, 15.0])
    assert read_axes(["parallel=2:4:1", "rod_diameter=3,4"]) == {
        "parallel": [2, 3, 4],
        "rod_diameter": pytest.approx([0.003, 0.004]),
    }


@pytest.mark.parametrize(
    ("axes", "words"),
    [
        (["span"], f'"span" is no axis. {FORM}.'),
        (["sapn=1:2:3"], f"sapn cannot be an axis. Did you mean span? Axes: {ALL}, or {A_KEY}."),
        (["fly.wnd=1:2:1"], 'fly.wnd cannot be an axis: "fly.wnd" is not a known key. Did you mean fly.wind?'),
        (["fly.wind="], f'"fly.wind=" is no axis. {FORM}.'),
        (
            ["fly.wind=1:2:1 kg"],
            'fly.wind=1:2:1 kg: fly.wind is "1.0 kg", a mass; give a speed, in m/s, km/h, mph or kn.',
        ),
        (
            ["fly.wind=1:90:1 m/s"],
            'fly.wind=1:90:1 m/s: fly.wind is "21.0 m/s"; allowed is 0 m/s to 20 m/s. Is that 21 km/h?',
        ),
        (
            ["fly.purpose=1:3:1"],
            "fly.purpose=1:3:1: fly.purpose is no number, so it has no steps. List its values: fly.purpose=a,b,c.",
        ),
        (
            ["equipment.camera.mass=0,9 g", "equipment[1].mass=5 g"],
            "equipment[1].mass and equipment.camera.mass are the same key, equipment[1].mass.",
        ),
        (["span=1200,1300", "span=1400"], "span is given twice."),
        (["span=1300:1240:20"], f"span=1300:1240:20: first, last and step do not lead from one to the other. {FORM}."),
        (["span=1240:1300:0"], f"span=1240:1300:0: first, last and step do not lead from one to the other. {FORM}."),
        (["span=1240:1300"], f"span=1240:1300 cannot be read. {FORM}."),
        (["span=nan:1200:5"], f"span=nan:1200:5: first, last and step do not lead from one to the other. {FORM}."),
        (["span=110,120"], "span=110,120 is beyond what these wings can be."),
        (["span=40:50:5 kg"], 'span=40:50:5 kg: "40.0 kg" needs one of: mm, cm, m, in, ft, um.'),
        (["parallel=2.5"], "parallel=2.5: give whole numbers from 1 to 12."),
        (["span=1200", "sweep=20", "washout=1", "parallel=2"], "A grid has one, two or three axes, not 4."),
        (["span=1200,1300", "--span", "1300 mm"], "span is an axis of the grid and given as --span as well."),
        (
            ["span=1200", "--workers", "2", "--cluster", "tcp://127.0.0.1:9"],
            "--workers and --cluster do not go together: a cluster has workers of its own.",
        ),
    ],
)
def test_the_message_for_a_wrong_axis(capsys, axes, words):
    assert main(["grid", STUDY, *axes]) == 2
    assert capsys.readouterr().err.strip() == words


@pytest.mark.thorough
def test_the_tip_chord_is_an_axis_where_panels_are_drawn_anew(capsys):
    assert main(["grid", STUDY, "span=1340:1400:60", "tip_chord=150,172", "--as-stock", "--json"]) == 0
    points = json.loads(capsys.readouterr().out)["points"]
    places = [(point["span_mm"], point["tip_chord_mm"]) for point in points]
    assert places == [(1340, 150), (1340, 172), (1400, 150), (1400, 172)]
    for smaller, stock in (points[:2], points[2:]):  # less foam and film: lighter, by less than half of the tips' foam
        assert 2 < stock["auw_g"] - smaller["auw_g"] < 40
    for given, words in (("tip_chord=400", "is wider than the root chord of 328 mm"),):
        assert main(["grid", STUDY, given]) == 2
        assert words in capsys.readouterr().err
    assert main(["grid", str(GODWIT.with_name("sanderling.toml")), "tip_chord=150"]) == 2
    assert 'stretches by "plug", which keeps the stock core' in capsys.readouterr().err


def test_grid_writes_table_json_and_map(capsys, tmp_path):
    arguments = [
        "grid",
        STUDY,
        "span=1300:1500:100",
        "parallel=2,3",
        "--rod-pairs",
        "2",
        "--as-stock",
        "--out",
        str(tmp_path),
    ]
    assert main(arguments) == 0
    printed = capsys.readouterr().out
    stem = "grid_span_parallel"
    document = json.loads((tmp_path / f"{stem}.json").read_text(encoding="utf-8"))
    rows = list(csv.DictReader((tmp_path / f"{stem}.csv").read_text(encoding="utf-8").splitlines()))
    assert [(float(row["span_mm"]), int(row["parallel"])) for row in rows] == [
        (1300.0, 2),
        (1300.0, 3),
        (1400.0, 2),
        (1400.0, 3),
        (1500.0, 2),
        (1500.0, 3),
    ]
    assert [float(row["range_km"]) for row in rows] == [point["range_km"] for point in document["points"]]
    met = sum(row["met"] == "yes" for row in rows)
    lines = printed.splitlines()
    at = next(place for place, line in enumerate(lines) if line.startswith("span"))
    units = [unit for line in lines[at : at + 3] for unit in ("mm", "km", "g", "km/h") if unit in line.split()]
    assert met > 1 and units == ["mm", "km", "g", "km/h"]
    listed = [line.split()[:2] for line in lines[at:] if line[:4].isdigit()]
    best_first = sorted((row for row in rows if row["met"] == "yes"), key=lambda row: -float(row["range_km"]))
    assert listed == [[f"{float(row['span_mm']):g}", row["parallel"]] for row in best_first]
    assert "Without --as-stock, all that is on no axis is searched" in " ".join(printed.split())
    assert f"6 designs, {met} meet every limit" in printed and "not proof of airworthiness" in printed
    assert {f"{stem}.png", f"{stem}.svg"} <= {file.name for file in (tmp_path / "figures").iterdir()}
    page = (tmp_path / f"{stem}.html").read_text(encoding="utf-8")
    assert page.count("data:image/svg+xml") == 2 and f"span {float(best_first[0]['span_mm']):g} mm" in page
    assert (tmp_path / "record.sqlite").is_file() and not list(tmp_path.rglob("*.part"))
    before = (tmp_path / f"{stem}.json").read_bytes()
    assert main([*arguments, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == document and (tmp_path / f"{stem}.json").read_bytes() == before


def test_cluster_without_its_library_is_told(capsys, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert main(["optimise", STUDY, "--cluster", "tcp://127.0.0.1:8786"]) == 2
    assert 'pip install "tradestudy[cluster]"' in capsys.readouterr().err


def test_a_key_is_no_axis_and_set_as_well(capsys):
    assert main(["grid", STUDY, "fly.wind=1,2", "--set", "fly.wind=3 m/s"]) == 2
    assert "fly.wind is an axis of the grid and set as well; leave out one of the two." in capsys.readouterr().err


@pytest.mark.parametrize(
    ("given", "values"),
    [
        (["1160 mm", "1120 mm", "46 in"], [1.12, 1.16, 1.1684]),
        ("1120 mm, 1160 mm", [1.12, 1.16]),
        ("1120,1160 mm", [1.12, 1.16]),
        ([1120, 1160], [1.12, 1.16]),
    ],
)
def test_each_value_of_an_axis_may_have_a_unit_of_its_own(given, values):
    assert checked_axes({"span": given})["span"] == pytest.approx(values)


def test_an_axis_of_another_kind_of_unit_is_refused():
    with pytest.raises(CommandError, match='^span=3 kg,1120 mm: "3 kg" needs one of: mm, cm, m, in, ft, um.$'):
        checked_axes({"span": ["3 kg", "1120 mm"]})
