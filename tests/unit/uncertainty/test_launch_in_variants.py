"""A wing is launched alike in all its variants: an uncertain input may not turn a throw into a bungee."""

from dataclasses import replace

import pytest
from helpers.wings import plover

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.study.reader import read_study
from tradestudy.uncertainty import variants

LIGHT = (('flying_weight = "1750 g"', 'flying_weight = "1500 g"'), ('[fly]\nlaunch_speed = "12.1 m/s"', "[fly]"))


def test_an_input_does_not_change_the_way_of_launch(tmp_path):
    study = read_study(plover.written(tmp_path, *LIGHT))
    anchor = anchor_of(study)
    design = variants.fixed_design(study, anchor, anchor.choice, anchor.variables)
    assert study.fly.launch is None and design.launch == "hand"
    nominal, tables = variants.variant_numbers(study, design), variants.given_tables(study)
    late = {("fly", "launch_delay"): "2 s"}  # the motor runs so late that nobody would throw this wing
    alike = variants.possible_variant(study, tables, late, design)
    assert alike.margins.keys() == nominal.margins.keys()
    assert alike.margins["launch_height_left"] < nominal.margins["launch_height_left"]
    free = variants.possible_variant(study, tables, late, replace(design, launch=None))
    assert "launch_height_left" not in free.margins  # what the rule for an open study says of such a wing


@pytest.mark.parametrize("way", ["hand", "bungee"])
def test_a_way_that_the_study_gives_stays(way, tmp_path):
    given = ('[fly]\nlaunch_speed = "12.1 m/s"', f'[fly]\nlaunch = "{way}"')
    study = read_study(plover.written(tmp_path, LIGHT[0], given))
    anchor = anchor_of(study)
    assert variants.fixed_design(study, anchor, anchor.choice, anchor.variables).launch == way
