"""Parts in SI units, each with its source, and the message for a part that does not exist."""

import re

import pytest

from tradestudy.catalogue import DATA, catalogue_part, catalogue_parts
from tradestudy.errors import CatalogueError
from tradestudy.quantities import to_si

KINDS = sorted(path.stem for path in DATA.glob("*.toml"))
ALL = [(kind, name) for kind in KINDS for name in catalogue_parts(kind)]


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_part_names_its_source(kind, name):
    assert len(catalogue_part(kind, name)["source"].split()) >= 2


@pytest.mark.parametrize(("kind", "name"), [pair for pair in ALL if pair[0] in ("foams", "coverings", "rods")])
def test_weak_values_are_not_above_the_others(kind, name):
    fields = catalogue_part(kind, name)
    weak = {field: value for field, value in fields.items() if field.endswith("_pessimistic")}
    for field, value in weak.items():
        assert 0 < value <= fields[field.removesuffix("_pessimistic")], field


STIFFNESS = {"youngs_modulus", "shear_modulus"}
REQUIRED = {  # what the model of the structure needs of each kind
    "rods": STIFFNESS | {"density", "tensile_strength", "compressive_strength", "shear_strength"},
    "foams": STIFFNESS | {"density", "shear_strength", "compressive_strength", "tensile_strength", "poisson_ratio"},
    "coverings": STIFFNESS | {"thickness", "areal_mass"},
    "sheets": STIFFNESS | {"density", "tensile_strength", "compressive_strength", "shear_strength"},
}


@pytest.mark.parametrize(("kind", "name"), [pair for pair in ALL if pair[0] in REQUIRED])
def test_materials_have_all_that_the_structure_needs_and_a_band(kind, name):
    fields = catalogue_part(kind, name)
    assert REQUIRED[kind] <= set(fields)
    assert re.search(r"\d", fields["band"])
    assert fields["shear_modulus"] < fields["youngs_modulus"]


@pytest.mark.parametrize(
    ("thin", "thick"), [("PET film 25 um", "PET film 38 um"), ("OPP film 38 um", "OPP film 43 um")]
)
def test_films_of_one_kind_weigh_by_their_thickness(thin, thick):
    one, other = catalogue_part("coverings", thin), catalogue_part("coverings", thick)
    # masses are given to two or three digits: half of the last is 1.4 % of 35 g/m2
    assert one["areal_mass"] / one["thickness"] == pytest.approx(other["areal_mass"] / other["thickness"], rel=1.5e-2)


def test_values_are_si():
    """Compare by hand with the text of the file: 20 kg/m3, 2 MPa, 38 um, 5000 mAh, 30 mohm, 72 g, 50 mm, 5 cm2."""
    foam, film, cell = (
        catalogue_part("foams", "EPP 20"),
        catalogue_part("coverings", "laminating film 38 um"),
        catalogue_part("cells", "21700 5.0 Ah"),
    )
    assert (foam["density"], foam["youngs_modulus"]) == pytest.approx((20.0, 2e6))
    assert film["thickness"] == pytest.approx(38e-6)
    assert (cell["capacity"], cell["resistance"], cell["mass"]) == pytest.approx((18000.0, 0.030, 0.072))
    nose = catalogue_part("drag_items", "open camera nose")
    assert nose["width"] == pytest.approx([0.050, 0.005, 0.200]) and nose["typical_band"][0] == pytest.approx(5e-4)


def test_prose_that_starts_with_a_number_stays_text():
    assert catalogue_part("drag_items", "open camera nose")["source"].startswith("16 cm2 frontal")


@pytest.mark.parametrize("name", [name for kind, name in ALL if kind == "foams"])
def test_foam_moduli_are_consistent(name):
    # isotropic: G = E / (2 (1 + nu)) with Poisson's ratio 0 to 0.5
    foam = catalogue_part("foams", name)
    assert 2.0 - 1e-9 <= foam["youngs_modulus"] / foam["shear_modulus"] <= 3.0 + 1e-9


UNITS_OF_BANDS = {"mass": "g", "power": "W", "drag_area": "cm2"}


@pytest.mark.parametrize("name", list(catalogue_parts("equipment")))
def test_equipment_lies_in_its_own_band(name):
    """Check that each number is inside the band that the file states in words, and at a place on the wing."""
    fields = catalogue_part("equipment", name)
    kinds = {"mass": "mass", "power": "power", "drag_area": "area"}
    for field, unit in UNITS_OF_BANDS.items():
        band = re.search(rf"([\d.]+) to ([\d.]+) {unit}\b", fields["band"])
        if band:
            low, high = (to_si(float(end), unit, kinds[field]) for end in band.groups())
            assert low <= fields[field] <= high, field
        else:  # a part without power, or outside the wind, needs no band for it
            assert not fields.get(field), field
    assert 0 <= fields["place_share"] <= 1
    # a comma separates names in an answer, and a number alone is a place in the list
    assert "," not in name and ";" not in name and not name[0].isdigit()


def test_a_part_that_is_not_there():
    with pytest.raises(CatalogueError) as raised:
        catalogue_part("foams", "EPP 31")
    assert str(raised.value).startswith(
        '"EPP 31" is not in the catalogue of foams. Did you mean EPP 30? Known: EPP 20,'
    )
    assert raised.value.exit_code == 2
