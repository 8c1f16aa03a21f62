"""Some hundred inputs that may be wrong in any way end as errors with file and line, or as finite answers.

`tests/bench/checks/hostile_inputs_at_length.py` tries thousands, and holds each study against the model too.
"""

from helpers.references import hostile_inputs
from hypothesis import given, seed, settings

QUICK = settings(max_examples=60, deadline=None, database=None)


@seed(1)
@QUICK
@given(text=hostile_inputs.studies())
def test_a_study(tmp_path_factory, text):
    hostile_inputs.outcome_of_study(text, tmp_path_factory.getbasetemp(), with_model=False)


@seed(2)
@QUICK
@given(text=hostile_inputs.measurements())
def test_measurements(tmp_path_factory, text):
    hostile_inputs.outcome_of_measurements(text, tmp_path_factory.getbasetemp())


@seed(3)
@settings(QUICK, max_examples=25)
@given(text=hostile_inputs.logs())
def test_a_log(tmp_path_factory, text):
    hostile_inputs.outcome_of_log(text, tmp_path_factory.getbasetemp())


@seed(4)
@QUICK
@given(text=hostile_inputs.propeller_tables())
def test_a_propeller_table(tmp_path_factory, text):
    hostile_inputs.outcome_of_propeller(text, tmp_path_factory.getbasetemp())
