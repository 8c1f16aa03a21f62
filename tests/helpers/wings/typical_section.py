"""Materials of a wing with a typical section, of which a test only needs round numbers."""

from tradestudy.physics.body.section_integrals import SectionIntegrals
from tradestudy.physics.weights import mass

FOAM, FILM = (0.42, 0.24), (0.49, 0.31)  # centroid and radius of gyration of area and outline, over the foam chord


def typical_section(area, outline):
    """Return the integrals of a section with an area and an outline, for a foam chord of 1."""
    (foam, foam_radius), (film, film_radius) = FOAM, FILM
    return SectionIntegrals(
        area,
        foam * area,
        (foam**2 + foam_radius**2) * area,
        outline,
        film * outline,
        (film**2 + film_radius**2) * outline,
    )


def materials(area, outline, *others):
    """Return the WingMaterials of that section. ``others`` are densities and the thickness of the elevon."""
    return mass.WingMaterials(typical_section(area, outline), *others)


def layers_by_hand(made_of, foam, elevon):
    """Return mass per metre, place behind the leading edge and radius of gyration of each layer, by name.

    The film is a thin line round the foam, and one on each side of the elevon. The elevon is a wedge down to a third.
    """
    around, flat = made_of.section.outline * foam, 2 * elevon
    film_place = (around * FILM[0] * foam + flat * (foam + elevon / 2)) / (around + flat)
    spread = around * ((FILM[0] * foam - film_place) ** 2 + (FILM[1] * foam) ** 2)
    spread = spread + flat * ((foam + elevon / 2 - film_place) ** 2 + elevon**2 / 12)
    film = made_of.covering_areal_mass * mass.COVERING_OVERLAP
    strip = made_of.elevon_density * made_of.elevon_thickness * 2 / 3 * elevon
    return {
        "foam": (made_of.foam_density * made_of.section.area * foam**2, FOAM[0] * foam, FOAM[1] * foam),
        "covering": (film * (around + flat), film_place, (spread / (around + flat)) ** 0.5),
        "elevons": (strip, foam + 5 / 12 * elevon, (11 / 144) ** 0.5 * elevon),
    }
