"""The commands through the runner, on a hand-made case and made-up answers."""

import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from types import ModuleType
from typing import Any, NamedTuple

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.errors import CaseError, Fault, RequestError
from optioneer.model.case import Case
from optioneer.study.answers import Advice, PackageAnswer
from tests import shop

FAULTS = (
    Fault("options.csv, row 14, price", "-1200 is below zero", "Prices are 0 or more."),
    Fault("machine.toml, [dates] order", "is missing"),
)

Run = Callable[..., Result]


class Asked:
    """What the commands asked the study functions for."""

    def __init__(self) -> None:
        self.calls: list[tuple[Any, ...]] = []

    def advice(self, case: Case, *, budget: float | None = None, progress: Any = None) -> Advice:
        self.calls.append((case.growth.futures, case.growth.seed, budget))
        progress(1.0)
        return shop.advice()

    def package_value(
        self, case: Case, options: Sequence[str], without: Sequence[str] = (), *, progress: Any
    ) -> PackageAnswer:
        assert case == shop.case()
        self.calls.append((tuple(options), tuple(without)))
        progress(1.0)
        return shop.advice().advised.model_copy(update={"id": "asked"})


NOTICE = Fault("paying.toml", "this version does not read it")


class Reading(NamedTuple):
    case: Case
    notices: tuple[Fault, ...]


def reading(path: Path) -> Reading:
    if path.name == "faulty":
        raise CaseError(FAULTS)
    return Reading(shop.case(), (NOTICE,) if path.name == "noted" else ())


def write_starter(path: Path) -> None:
    if path.exists():
        raise RequestError(f"{path}: is there already. Name a folder that is not.")
    path.mkdir()


def module(name: str, **functions: object) -> ModuleType:
    made = ModuleType(name)
    vars(made).update(functions)
    return made


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    asked = Asked()
    fakes: dict[str, dict[str, object]] = {
        "optioneer.files.read": {"reading": reading},
        "optioneer.files.starter": {"write_starter": write_starter},
        "optioneer.study.advise": {"advice": asked.advice},
        "optioneer.study.value": {"package_value": asked.package_value},
    }
    for name, functions in fakes.items():
        monkeypatch.setitem(sys.modules, name, module(name, **functions))
    for variable in ("LC_ALL", "LC_MONETARY", "LANG"):
        monkeypatch.delenv(variable, raising=False)
    return asked


@pytest.fixture
def run(asked: Asked) -> Run:
    assert asked.calls == []
    return lambda *arguments: CliRunner().invoke(app, [str(argument) for argument in arguments])


def test_advise_says_first_what_to_order(run: Run) -> None:
    result = run("advise", "shop")
    assert result.exit_code == 0
    assert result.stderr == ""
    assert "Order 4 options with the machine: $372,000.50 in all." in result.stdout[:400]


def test_advise_passes_on_draws_and_budget(run: Run, asked: Asked) -> None:
    run("advise", "shop", "--futures", 512, "--seed", 0, "--budget", "350000.50")
    run("advise", "shop")
    assert asked.calls == [(512, 0, 350000.5), (4096, 7, None)]


def test_json_on_standard_output_is_alone_there(run: Run) -> None:
    result = run("advise", "shop", "--json", "-")
    assert Advice.model_validate_json(result.stdout) == shop.advice()


def test_json_in_a_file_goes_with_the_text(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "advice.json"
    result = run("advise", "shop", "--json", target)
    assert Advice.model_validate_json(target.read_text(encoding="utf-8")) == shop.advice()
    assert "ORDER NOW (4)" in result.stdout


def test_the_json_fields_are_those_of_the_format(run: Run) -> None:
    answer = json.loads(run("advise", "shop", "--json", "-").stdout)
    assert {
        "case", "currency", "futures", "seed", "advised", "packages", "options", "frontier",
        "information",
    } <= set(answer)  # fmt: skip
    assert set(answer["options"][0]) == {
        "option", "verdict", "otherwise", "otherwise_se", "close_call", "chance_fitted_later",
        "median_year_fitted", "present_cost_fitted_later", "regret_share", "break_even_chance",
        "break_even_multiplier",
    }  # fmt: skip
    assert set(answer["advised"]) == {
        "id", "options", "price", "npc", "npc_se", "p10", "p50", "p90", "cvar90", "hindsight",
        "rule", "learned",
    }  # fmt: skip


def test_value_takes_lists_with_commas(run: Run, asked: Asked) -> None:
    result = run("value", "shop", "--package", "sub-spindle, auto-door", "--without", "std,")
    assert asked.calls == [(("sub-spindle", "auto-door"), ("std",))]
    assert "One future in ten costs less." in result.stdout


def test_the_bare_standard_machine_has_an_empty_package(run: Run, asked: Asked) -> None:
    result = run("value", "shop", "--package", "", "--json", "-")
    assert asked.calls == [((), ())]
    assert json.loads(result.stdout)["id"] == "asked"


def test_check_tells_what_was_read(run: Run) -> None:
    result = run("check", "shop")
    assert result.exit_code == 0
    assert "13 options in 12 slots" in result.stdout
    assert "No faults." in result.stdout


def test_what_is_no_fault_but_should_be_known_is_told(run: Run) -> None:
    assert "paying.toml: this version does not read it." in run("check", "noted").stdout
    noted = run("advise", "noted", "--json", "-")
    assert noted.stderr == "Note: paying.toml: this version does not read it.\n"
    assert noted.exit_code == 0


@pytest.mark.parametrize(
    "arguments", [("check", "faulty"), ("advise", "faulty"), ("value", "faulty", "--package", "")]
)
def test_every_fault_of_a_case_is_numbered_on_standard_error(
    run: Run, arguments: tuple[str, ...]
) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.splitlines() == [
        "1. options.csv, row 14, price: -1200 is below zero. Prices are 0 or more.",
        "2. machine.toml, [dates] order: is missing.",
        "2 faults.",
    ]


def test_new_makes_a_folder_once(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "my-machine"
    assert run("new", folder).exit_code == 0
    assert folder.is_dir()
    again = run("new", folder)
    assert again.exit_code == 2
    assert again.stderr == f"{folder}: is there already. Name a folder that is not.\n"


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("advise",), "Missing argument 'CASE'"),
        (("advise", "shop", "--budget", "350,000"), "'350,000' is not an amount of 0 or more."),
        (("advise", "shop", "--budget", "nan"), "'nan' is not an amount"),
        (("advise", "shop", "--budget", "-5"), "'-5' is not an amount"),
        (("advise", "shop", "--futures", "3"), "futures: 3 is not allowed"),
        (("advise", "shop", "--futures", "many"), "'many' is not a whole number."),
        (("advise", "shop", "--json", "no/such/place.json"), "no file in an existing folder"),
        (("value", "shop"), "Missing option '--package'"),
        (("advice", "shop"), "No such command 'advice'"),
        (("advise", "shop", "--sed", "1"), "No such option"),
    ],
)
def test_a_users_mistake_is_one_sentence_and_exit_code_2(
    run: Run, asked: Asked, arguments: tuple[str, ...], sentence: str
) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert sentence in result.stderr
    assert "Traceback" not in result.stderr
    assert result.stdout == ""
    assert asked.calls == []


def test_an_answer_that_cannot_be_saved_is_still_shown(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: Path, _: str) -> None:
        raise RequestError(f"{path}: cannot be written (disk full); nothing was changed.")

    monkeypatch.setattr("optioneer.files.atomic.write_text_atomically", refuse)
    result = run("advise", "shop", "--json", tmp_path / "advice.json")
    assert result.exit_code == 2
    assert "ORDER NOW (4)" in result.stdout
    assert "cannot be written (disk full)" in result.stderr


def raising(error: BaseException) -> Callable[..., Advice]:
    def advice(*_: object, **__: object) -> Advice:
        raise error

    return advice


def test_ctrl_c_stops_with_one_line_and_130(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        sys.modules["optioneer.study.advise"], "advice", raising(KeyboardInterrupt())
    )
    result = run("advise", "shop")
    assert result.exit_code == 130
    assert result.stderr == "Stopped before it was done.\n"


def test_a_fault_of_the_program_is_not_hidden(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        sys.modules["optioneer.study.advise"], "advice", raising(ZeroDivisionError())
    )
    result = run("advise", "shop")
    assert isinstance(result.exception, ZeroDivisionError)


def test_the_environment_chooses_the_locale(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LANG", "de_DE.UTF-8")
    assert "372.000,50\u00a0$ in all." in run("advise", "shop").stdout.replace("\n", " ")
