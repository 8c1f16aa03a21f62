"""The sections of a study: files and names for root and tip, their numbers, and designs outside their tables."""

import math
from dataclasses import replace

import numpy as np
import pytest
from helpers.invented.invented_result import sample_result

from tradestudy.aircraft.assessment import notes
from tradestudy.aircraft.assessment.drag_breakdown import section_drag_band
from tradestudy.aircraft.assessment.notes import scatter_notes
from tradestudy.aircraft.model import section_data
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.aircraft.shape import stock_shape
from tradestudy.aircraft.shape.stock_shape import stock_wing
from tradestudy.errors import CatalogueError
from tradestudy.physics.sections import airfoil, naca, polar
from tradestudy.report.page.page import page
from tradestudy.report.words.number_table import section_heads, section_notes, section_rows
from tradestudy.study.consistency import planform
from tradestudy.study.reader import read_study


def with_stock(study, **changed):
    return replace(study, stock=study.stock.model_copy(update=changed))


def rows_of(name):
    """Return some eighty points of a section, including trailing edges and nose."""
    outline = naca.naca_outline(name)
    nose = int(np.argmin(outline[:, 0]))
    top, bottom = outline[:nose][::10], outline[nose + 1 :][::-1][::10][::-1]
    return [tuple(point) for point in [*top.tolist(), outline[nose].tolist(), *bottom.tolist()]]


def text(points):
    return "drawn by hand\n" + "\n".join(f"{x:.6f} {z:.6f}" for x, z in points) + "\n"


@pytest.fixture()
def beside(tmp_path, godwit_study):
    """Return a function for the Godwit beside a coordinate file with the given text, named as the tip's airfoil.

    The tip is as thick as the file says.
    """

    def make(written, **stock):
        (tmp_path / "mine.dat").write_text(written, encoding="utf-8")
        study = with_stock(godwit_study, tip_airfoil="mine.dat", tip_thickness=None, **stock)
        return replace(study, path=tmp_path / "study.toml")

    return make


def tip_of(study):
    return stock_shape.wing_sections(study, stock_wing(study)).tip.complete


@pytest.mark.parametrize("written", ["over", "under", "open"])
def test_tip_from_a_file(beside, written):
    """Check that a file in either direction, and one with a blunt edge of 1 %, give the section that they hold."""
    points = rows_of("naca2412")
    if written == "under":
        points = points[::-1]
    if written == "open":
        points[0], points[-1] = (1.0, 0.005), (1.0, -0.005)
    found = tip_of(beside(text(points)))
    wanted = airfoil.resampled(naca.naca_outline("naca2412"))
    inside = (wanted[:, 0] > 0.02) & (wanted[:, 0] < 0.9)
    assert found[inside] == pytest.approx(wanted[inside], abs=2e-3)  # eighty points, and a nose located to one spacing


@pytest.mark.parametrize(
    ("fault", "sentence"),
    [
        ("twice", "gives the same point twice, in row 11; take one out"),
        ("three", "holds 3 rows of two numbers; 12 or more are needed"),
        ("nan", "holds nan 0.1 in row 12, which is no point"),
        ("columns", "holds 3 numbers in row 12; two are needed, x and z"),
        ("open", "is open at the trailing edge by 6.0 % of the chord; 2 % at most"),
    ],
)
def test_broken_tip_files(beside, fault, sentence):
    points = rows_of("naca2412")
    lines = text(points).splitlines()
    if fault == "twice":
        lines[10] = lines[9]
    if fault == "three":
        lines = lines[:4]
    if fault in ("nan", "columns"):
        lines[11] = {"nan": "nan 0.1", "columns": "0.5 0.1 0.2"}[fault]
    if fault == "open":
        lines[1], lines[-1] = "1.0 0.03", "1.0 -0.03"
    study = beside("\n".join(lines))
    with pytest.raises(CatalogueError) as raised:
        stock_shape.wing_sections(study, stock_wing(study))
    assert str(raised.value) == f"stock.tip_airfoil mine.dat: {sentence}."


def test_a_reader_takes_the_tip(tmp_path, godwit_study):
    path = tmp_path / "study.toml"
    path.write_text(
        godwit_study.text.replace('tip_thickness = "27 mm"', 'tip_airfoil = "naca23112"\ntip_thickness = "2 cm"'),
        encoding="utf-8",
    )
    stock = read_study(path).stock
    assert (stock.tip_airfoil, stock.tip_thickness) == ("naca23112", pytest.approx(0.020))


def test_tip_thickness_by_callipers(godwit_study):
    """Check one airfoil with two thicknesses: the root's outline is made thinner.

    Without thickness it is used as it is.
    """
    study = with_stock(godwit_study, tip_thickness=0.0162)
    found = stock_shape.wing_sections(study, stock_wing(study))
    assert airfoil.section_shape(found.tip.complete).thickness == pytest.approx(0.0162 / 0.198, rel=2e-3)
    (_, above, below), (_, tip_above, tip_below) = map(airfoil.surfaces, (found.root.complete, found.tip.complete))
    assert tip_above + tip_below == pytest.approx(above + below, abs=1e-12)  # camber stays
    drawn = with_stock(godwit_study, tip_airfoil="naca0009", tip_thickness=None)
    assert airfoil.section_shape(tip_of(drawn)).thickness == pytest.approx(0.09, rel=2e-3)


def test_a_tip_no_thicker_than_its_elevon(tmp_path, godwit_study):
    study = with_stock(godwit_study, tip_thickness=0.006)
    assert list(planform.tip_section_fits(study.stock, study.elevon, tmp_path)) == [
        (("stock", "tip_thickness"), "is 6 mm; it must be more than elevon.thickness (6 mm).")
    ]


def test_no_tip_given_is_the_roots_own(godwit_study):
    study = with_stock(godwit_study, tip_thickness=None)
    found = stock_shape.wing_sections(study, stock_wing(study))
    assert not found.differ and found.tip is found.root
    first, second = section_data.section_tables(study, found)
    assert first is second and section_data.camber(first, second)[2:] == (0.0, 0.0)


def test_facts_are_those_of_the_section(godwit_study):
    """Compare with NACA 2412 on 374 mm, 54.5 mm thick: camber 2 % at 40 %, area 0.6851 t c, thin-airfoil moment -0.053.

    The tip is NACA 0009 at 198 mm, 9 % thick, without camber.
    """
    study = with_stock(godwit_study, airfoil="naca2412", tip_airfoil="naca0009", tip_thickness=None)
    root, tip = section_data.section_facts(study, stock_wing(study))
    assert (root.place, root.airfoil, tip.place, tip.airfoil) == ("root", "naca2412", "tip", "naca0009")
    assert root.thickness_mm == pytest.approx(54.5, rel=2e-3) and root.chord_mm == pytest.approx(374.0)
    assert (root.camber_pct, root.camber_at_pct) == (pytest.approx(2.0, abs=0.02), pytest.approx(40, abs=1))
    assert root.area_cm2 == pytest.approx(0.6851 * 5.45 * 37.4, rel=3e-3)
    assert root.thin_moment_coefficient == pytest.approx(-0.0531, abs=1e-3)
    assert math.isclose(tip.thickness_mm, 0.09 * 198, rel_tol=2e-3) and tip.camber_at_pct is None
    # the surrogate is symmetric to a hundredth of a degree and two thousandths of moment
    assert abs(tip.zero_lift_angle_deg) < 0.05 and abs(tip.moment_coefficient) < 3e-3


def test_page_shows_the_section(godwit_study):
    facts = section_data.section_facts(with_stock(godwit_study, tip_thickness=0.0162), stock_wing(godwit_study))
    result = sample_result(sections=facts)
    assert section_heads(result) == ["Root: mh60", "Tip: mh60"]
    rows = {words: figures for words, _, figures in section_rows(result)}
    assert rows["Thickness"] == ["54.5", "16.2"] and rows["Chord, foam and elevon"] == ["374", "198"]
    assert len(section_notes(result)) == 2
    text = page(result, drawn={})
    assert (
        'id="section">The section</h' in text
        and "Tip: mh60" in text
        and "in straight lines from one template to the other" in text
    )
    assert 'id="section">The section</h' not in page(sample_result(sections=[]), drawn={})


# --- outside the tables -----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def stock_flight(godwit_anchor):
    sweep = SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)
    return sweep, sweep.evaluation.by_name()


def test_no_flag_inside_the_tables(stock_flight):
    assert notes.table_flags(stock_flight[0], stock_flight[0].evaluation.flow.trimmed) == []


def test_each_departure_is_flagged_with_strip_flight_and_distance(stock_flight):
    sweep, values = stock_flight
    mesh, strip = sweep.solution.mesh, 5
    changed = {name: np.array(values[name]) for name in ("log_reynolds", "strip_deflection", "lift_coefficient")}
    changed["log_reynolds"][1, strip] = np.log(30e3)
    changed["log_reynolds"][0, strip + 1] = np.log(34e3)
    changed["strip_deflection"][3, strip] = np.radians(14.0)
    changed["lift_coefficient"][0, strip] = 1.4
    changed["lift_coefficient"][2, strip] = 2.0  # expected near the stall, where drag is not used
    low, deflected, lifted = notes.table_flags(sweep, sweep.evaluation.flow.trimmed._replace(**changed))
    place = f"the strip {1e3 * mesh.middle[strip, 1]:.0f} mm from the centre line leaves the section tables: "
    assert low == (
        f"in flight at cruise speed over its least multiple of the stall {place}Reynolds number 30000, "
        "the tables start at 35000; drag "
        "and stall are those near that edge; also in cruise"
    )
    assert deflected == (
        f"in flight at full speed {place}elevon +14.0 deg, the tables end at +10 deg; drag and stall "
        "are those near that edge"
    )
    highest, _ = polar.lift_limits(sweep.data.flight.table, values["log_reynolds"][0], values["strip_deflection"][0])
    usable = polar.USABLE_SHARE * (highest[0, strip] - polar.LIFT_MAXIMUM_BIAS)
    assert lifted == (
        f"in cruise {place}lift coefficient 1.40, usable up to {usable:.2f}; its drag is a steep continuation, not data"
    )


def test_speed_card_outside_the_tables_is_flagged(stock_flight):
    """Check the warning at half the stall speed, where every strip needs more lift than it has."""
    sweep, _ = stock_flight
    assert notes.card_flags(sweep) == []
    card, slow = sweep.speed_card, SpeedSweep(sweep.data, sweep.choice, sweep.variables, sweep.wings)
    slow.speed_card = replace(card, speed=np.array([0.5 * card.stall_speed, 13.0, 15.0]))
    assert notes.card_flags(slow) == [
        "all but 47 to 54 km/h of the speed card lies outside the section tables: drag and range are a smooth "
        "continuation there"
    ]


def test_notes_give_the_correction(godwit_study):
    text = scatter_notes(godwit_study)[0]
    assert "21 % at 60 000, 14 % at 100 000, 10 % at 150 000, 9 % at 300 000" in text
    assert "free transition only" in text and "no better than 30 % below Re 100 000" in text


def test_scatter_of_section_drag_grows_where_reynolds_numbers_are_low(stock_flight):
    _, values = stock_flight
    drag, area, reynolds = values["section_drag"][0], values["strip_area"], values["log_reynolds"][0]
    for number, share in ((4e5, 0.10), (8e4, 0.30)):
        assert section_drag_band(drag, area, np.full_like(reynolds, np.log(number))) == pytest.approx(share, rel=1e-9)
