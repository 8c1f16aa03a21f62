"""Arguments and options that several commands share.

Two groups of options are added by decorators: `wing_options` describe one wing, `search_options` describe a search.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, NamedTuple, get_type_hints

import typer

from tradestudy.commands.requested_wing import RequestedWing, requested_wing
from tradestudy.errors import CommandError, near_match
from tradestudy.files import as_typed
from tradestudy.quantities import METRIC, SYSTEMS
from tradestudy.quantities.design_inputs import QUANTITY_INPUTS

from .completion import settable_keys, studies, unit_choices
from .study_request import StudyRequest, print_settings
from .terminal import use_units

StudyPath = Annotated[
    Path, typer.Argument(metavar="STUDY", autocompletion=studies, help="A study file, such as studies/godwit.toml.")
]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="KEY=VALUE",
        autocompletion=settable_keys,
        help=(
            'Use another value for one key of the study, such as "fly.wind=6 m/s" or "equipment.camera.mass=80 g"; '
            "may be repeated. Without a value, such as price[1].owned=, the key is left out. The file stays as it is."
        ),
    ),
]
FittedFile = Annotated[
    Path | None,
    typer.Option("--fitted", metavar="FILE", help="Factors from measurements of this wing, as written by fit."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]
Everything = Annotated[
    bool, typer.Option("--all", help="Print everything, not only the answer, what limits it and what to do next.")
]
Units = Annotated[
    str | None,
    typer.Option(
        "--units", metavar="SYSTEM", help="metric or imperial, for all that is printed and written; JSON stays metric."
    ),
]
Anyway = Annotated[
    bool,
    typer.Option("--anyway", help="Write card and sheets even if the wing breaks a limit; each carries a warning."),
]
OutFolder = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="FOLDER",
        help=(
            "Where to write. If left out, run, flips, grid and buildsheet write into results/<study>; assess, bands, "
            "cruise and compare keep there only what they searched. Results of a run stay: those of other commands go "
            "into a folder within."
        ),
    ),
]
Workers = Annotated[
    int | None,
    typer.Option(
        "--workers",
        min=1,
        max=512,
        metavar="N",
        help="Parallel processes; by default one for each core, if there is enough to do.",
    ),
]
ClusterAddress = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        metavar="ADDRESS",
        help="Search on a Dask cluster, such as tcp://192.168.1.10:8786; needs tradestudy[cluster].",
    ),
]


def _quantity_option(flag: str, metavar: str, kind: str, text: str) -> Any:
    return Annotated[str | None, typer.Option(flag, metavar=metavar, autocompletion=unit_choices(kind), help=text)]


# options that request one wing, in the order of the help
_WING_OPTIONS = {
    "span": _quantity_option("--span", "LENGTH", "length", 'Span of the wing, such as "1300 mm".'),
    "sweep": _quantity_option("--sweep", "ANGLE", "angle", 'Leading-edge sweep, such as "24 deg".'),
    "washout": _quantity_option("--washout", "ANGLE", "angle", 'Tip twist, nose down, such as "2 deg".'),
    "tip_chord": _quantity_option("--tip-chord", "LENGTH", "length", 'Foam chord at the tip, such as "160 mm".'),
    "static_margin": Annotated[
        str | None, typer.Option("--static-margin", metavar="PERCENT", help='Static margin, such as "7 %".')
    ],
    "cruise_speed": _quantity_option(
        "--cruise-speed", "SPEED", "speed", "Cruise speed; as recommended, or the best of a changed wing, if left out."
    ),
    "parallel": Annotated[int | None, typer.Option("--parallel", min=1, max=12, help="Cells in parallel.")],
    "rod_diameter": _quantity_option("--rod-diameter", "LENGTH", "length", 'Diameter of the rods, such as "4 mm".'),
    "rod_pairs": Annotated[int | None, typer.Option("--rod-pairs", min=1, max=4, help="Rod pairs in each half wing.")],
    "propeller": Annotated[
        str | None, typer.Option("--propeller", metavar="SIZE", help="Diameter x pitch in inches, such as 10x6.")
    ],
}
_SEARCH_OPTIONS = {"out": OutFolder, "workers": Workers, "cluster": ClusterAddress, "fitted": FittedFile}

Command = Callable[..., None]


class Search(NamedTuple):
    """Options of a search: the folder of its results, its processes, and the file of fitted factors."""

    out: Path | None
    workers: int | None
    cluster: str | None
    fitted: Path | None


def wing_options(command: Command, leave_out: tuple[str, ...] = ()) -> Command:
    """Return a command with the options that request one wing.

    The command receives them as its argument ``requested``.
    """
    options = {name: kind for name, kind in _WING_OPTIONS.items() if name not in leave_out}
    return with_options(
        command, options, "requested", lambda given: requested_wing(given, lambda name: "--" + name.replace("_", "-"))
    )


def wing_option_words(requested: RequestedWing) -> str:
    """Return the options that request a wing as a person types them, with a blank before each."""
    words = ""
    for name in _WING_OPTIONS:
        value = getattr(requested, name)
        if name in QUANTITY_INPUTS and value is not None:
            value = f"{QUANTITY_INPUTS[name].in_unit(value):.10g} {QUANTITY_INPUTS[name].unit}"
        words += f" --{name.replace('_', '-')} {as_typed(value)}" if value is not None else ""
    return words


def search_options(command: Command) -> Command:
    """Return a command with the options of a search. The command receives them as its argument ``search``."""
    return with_options(command, _SEARCH_OPTIONS, "search", lambda given: Search(**given))


def with_options(
    command: Command, options: dict[str, Any], argument: str, convert: Callable[[dict[str, Any]], Any]
) -> Command:
    """Return a command with more options, which are None by default.

    ``convert`` turns their values into one object, which the command receives as ``argument``.
    """

    def call(given: dict[str, Any], chosen: dict[str, Any]) -> None:
        command(**given, **{argument: convert(chosen)})

    return _extended(command, options, call, {argument: None})


def study_keys(command: Command) -> Command:
    """Return a command with the options ``--set`` and ``--units``. Its argument ``study`` is a `StudyRequest`.

    Before the command begins, its keys that were set are printed.
    """

    def call(given: dict[str, Any], chosen: dict[str, Any]) -> None:
        given["study"] = request = StudyRequest(given["study"], chosen["settings"] or (), fitted=given.get("fitted"))
        system = system_of(chosen["units"]) if chosen["units"] else request.units(given.get("fitted"))
        use_units(system, bool(given.get("as_json")))
        if request.changes and not given.get("as_json"):
            print_settings(request.read(given.get("fitted")))
        command(**given)

    return _extended(command, {"settings": Settings, "units": Units}, call, {"study": StudyPath})


def use_chosen_units(typed: str | None, study: Path | None, as_json: bool = False) -> None:
    """Print in the units that ``--units`` names, or else in those that a study asks for. JSON stays metric."""
    own = METRIC if study is None else StudyRequest(study).units()
    use_units(system_of(typed) if typed else own, as_json)


def system_of(typed: str) -> str:
    """Return the system of units that an option names. Raise CommandError for another word."""
    system = typed.strip().lower()
    if system not in SYSTEMS:
        raise CommandError(
            f'--units "{typed}" is not known.{near_match(system, list(SYSTEMS))} Allowed: metric, imperial.'
        )
    return system


def _extended(
    command: Command,
    options: dict[str, Any],
    call: Callable[[dict[str, Any], dict[str, Any]], None],
    instead: dict[str, Any],
) -> Command:
    """Return a command with more options, which are None by default.

    ``call`` gets the values of the command's own options, and those of the options that were added. ``instead`` holds
    another type for an argument of the command, or None if it is no option.
    """
    hints = get_type_hints(command, include_extras=True)
    own = [
        each.replace(annotation=instead.get(name, hints[name]))
        for name, each in inspect.signature(command).parameters.items()
        if instead.get(name, hints[name]) is not None
    ]
    added = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=kind)
        for name, kind in options.items()
    ]

    @functools.wraps(command)
    def wrapped(**given: Any) -> None:
        chosen = {name: given.pop(name) for name in options}
        call(given, chosen)

    # typer reads both the signature and the annotations
    wrapped.__signature__ = inspect.Signature([*own, *added])  # type: ignore[attr-defined]
    wrapped.__annotations__ = {each.name: each.annotation for each in (*own, *added)}
    del wrapped.__wrapped__  # type: ignore[attr-defined]
    return wrapped


def share_of_draws(option: str, text: str) -> float:
    """Return a share of the draws (sampled sets of inputs) from the text of an option: "80 %", "80" or "0.8".

    Raise CommandError if the share is outside 50 % to 99 %.
    """
    from tradestudy.quantities import parse_quantity

    try:
        share = parse_quantity(f"{text} %" if _is_above_one(text) else text, "fraction")
    except ValueError as error:
        raise CommandError(f"{option} {error}.") from None
    if not 0.5 <= share <= 0.99:
        raise CommandError(f"{option} {text}: give 50 % to 99 %.")
    return share


def _is_above_one(text: str) -> bool:
    """Return whether a text is a bare number above 1, as a percentage without its sign is."""
    try:
        return float(text) > 1.0
    except ValueError:
        return False
