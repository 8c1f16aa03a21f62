"""Fixtures that many tests share: the Godwit and Turnstone studies and their models, computed once."""

import gc
import os
import signal
import threading
from dataclasses import replace

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # matrices are small, and pytest already has a worker for every core

import numpy as np  # noqa: E402
import pytest  # noqa: E402
from helpers.places import GODWIT  # noqa: E402

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN and threading.current_thread() is threading.main_thread():
    # a run in the background is started so, and so would be the programs that tests stop with Ctrl-C
    signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_finish():
    """Spare the garbage collector all that the tests share: it took a fifth of the time."""
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


@pytest.fixture(scope="session", autouse=True)
def without_search():
    """Give commands on one wing the wing half way to the longest span, at the medians of its inputs, without draws."""
    from helpers.wings.half_way import half_way

    from tradestudy.commands import assess

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(assess, "recommended_wing", half_way)
        patched.setattr(assess, "as_drawn", lambda session, result, *given: result)
        yield


@pytest.fixture(scope="session")
def godwit_study():
    """Return the Godwit study as read from its file (study.schema.Study)."""
    from tradestudy.study.reader import read_study

    return read_study(GODWIT)


@pytest.fixture(scope="session")
def godwit_anchor(godwit_study):
    """Return the Godwit's model, calibrated against its stock wing (aircraft.anchor.calibration.Anchor)."""
    from tradestudy.aircraft.anchor.calibration import anchor_of

    return anchor_of(godwit_study)


@pytest.fixture(scope="session")
def godwit(godwit_anchor, godwit_study):
    """Return a function for the Godwit's model data (aircraft.model.model_data.ModelData): ``godwit("plug")``.

    Its argument is a stretch scheme. ``"scaled, set-back kept"`` is the scheme "scaled" with the rule that keeps the
    set-back, and ``"scaled, bay cut to the pack"`` that scheme with a bay that moves with the pack. Sections differ
    along the span, so their tables belong to the strips of the scheme.
    """
    from tradestudy.aircraft.model.choices import study_with_choice
    from tradestudy.aircraft.model.model_data import model_data

    def with_scheme(scheme, keep="sweep_angle", **layout_changes):
        if scheme == "scaled, set-back kept":
            scheme, keep = "scaled", "set_back"
        data, study = godwit_anchor.data, godwit_study
        if scheme == "scaled, bay cut to the pack":
            scheme = "scaled"
            study = study_with_choice(study, replace(godwit_anchor.choice, layout="2 x 4 x 1 fore and aft"))
            drawn = model_data(study, data.layout.unlisted, bay_follows=True).layout
            layout_changes |= {name: getattr(drawn, name) for name in ("in_foam", "cuts", "pack_bay", "rods")}
        laid = data.layout._replace(scheme=scheme, keep=keep, fins_rule="hold_volume")._replace(**layout_changes)
        stretch = study.stretch.model_copy(update={"scheme": scheme})
        drawn = model_data(replace(study, stretch=stretch), laid.unlisted)
        flown = data.flight._replace(layout=laid, table=drawn.flight.table)
        strength = data.strength._replace(layout=laid, section=drawn.strength.section)
        return replace(data, level=data.level._replace(flight=flown), strength=strength)

    return with_scheme


@pytest.fixture(scope="session")
def turnstone_study(tmp_path_factory):
    """Return the Turnstone study, in which no two ratings are equal (study.schema.Study)."""
    from helpers.wings.turnstone import written

    from tradestudy.study.reader import read_study

    return read_study(written(tmp_path_factory.mktemp("turnstone")))


@pytest.fixture(scope="session")
def turnstone_anchor(turnstone_study):
    """Return the Turnstone's model, calibrated against its stock wing (aircraft.anchor.calibration.Anchor)."""
    from tradestudy.aircraft.anchor.calibration import anchor_of

    return anchor_of(turnstone_study)


@pytest.fixture(scope="session")
def turnstone_space(turnstone_study, turnstone_anchor):
    """Return the Turnstone's search space: two propellers, four sets of rods, one pack.

    Its type is search.search_space.SearchSpace.
    """
    from tradestudy.search.search_space import search_space

    return search_space(turnstone_study, turnstone_anchor)


@pytest.fixture(scope="session")
def greenshank_wing(tmp_path_factory):
    """Return the Result of the Greenshank at 1.6 m, which meets every limit (results.result.Result)."""
    from helpers.wings import greenshank

    from tradestudy.commands.assess import assess

    return assess(greenshank.written(tmp_path_factory.mktemp("greenshank")), **greenshank.BUILT)


@pytest.fixture()
def random():
    """Return a seeded random generator."""
    return np.random.default_rng(20240229)
