"""The commands through the runner, on a hand-made case and made-up answers."""

import json
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from optioneer.cli.many import workers
from optioneer.errors import RequestError
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest, Aim, PackageRequest
from optioneer.study.whatif.answers import Turning, WhatIf
from tests import shop, whatifs
from tests.cli.fakes import Asked, Run


def test_advise_says_first_what_to_order(run: Run) -> None:
    result = run("advise", "shop")
    assert result.exit_code == 0
    assert result.stderr == ""
    assert "Order 4 options with the machine: $372,000.50 in all." in result.stdout[:400]


def test_advise_proves_its_gap_unless_told_not_to(run: Run) -> None:
    assert "nobody who cannot see ahead" in " ".join(run("advise", "shop").stdout.split())
    assert "who cannot see ahead" not in run("advise", "shop", "--no-proof").stdout


def test_advise_takes_a_precision_or_the_end_of_close_calls(run: Run, asked: Asked) -> None:
    said = " ".join(run("advise", "shop", "--precision", "0.1%").stdout.split())
    assert "16,384 futures were drawn" in said
    run("advise", "shop", "--precision", "calls")
    assert [request.aim for request in asked.calls] == [Aim(0.001), Aim()]


def test_advise_passes_on_draws_and_budget(run: Run, asked: Asked) -> None:
    run("advise", "shop", "--futures", 512, "--seed", 0, "--budget", "350000.50")
    run("advise", "shop")
    drawn = AdviceRequest(shop.case(), futures=512, seed=0, budget=350000.5, prove=True)
    assert asked.calls == [drawn, AdviceRequest(shop.case(), prove=True)]


def test_break_evens_are_searched_for_when_asked(run: Run) -> None:
    assert "This turns if" not in run("advise", "shop").stdout
    told = " ".join(run("advise", "shop", "--break-even").stdout.split())
    assert "This turns if second-side shaft work is 12% likely instead of 80%." in told


def test_json_on_standard_output_is_alone_there(run: Run) -> None:
    result = run("advise", "shop", "--json", "-")
    assert Advice.model_validate_json(result.stdout) == shop.proven(shop.advice())


def test_json_in_a_file_goes_with_the_text(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "advice.json"
    result = run("advise", "shop", "--json", target)
    told = Advice.model_validate_json(target.read_text(encoding="utf-8"))
    assert told == shop.proven(shop.advice())
    assert "ORDER NOW (4)" in result.stdout


def test_the_json_fields_are_those_of_the_format(run: Run) -> None:
    answer = json.loads(run("advise", "shop", "--json", "-").stdout)
    assert {
        "case", "currency", "futures", "seed", "advised", "packages", "options", "frontier",
        "information",
    } <= set(answer)  # fmt: skip
    assert set(answer["options"][0]) == {
        "option", "verdict", "otherwise", "otherwise_se", "close_call", "chance_fitted_later",
        "median_year_fitted", "present_cost_fitted_later", "regret_share", "mean_regret",
        "break_even_chance",
        "break_even_multiplier", "hangs_on", "unpaid",
    }  # fmt: skip
    assert set(answer["advised"]) == {
        "id", "options", "price", "npc", "npc_se", "outcome", "hindsight", "rule", "learned",
    }  # fmt: skip
    assert set(answer["advised"]["outcome"]) == {
        "mean", "p10", "p50", "p90", "worst_tenth", "not_buying", "worse_than_not_buying",
    }  # fmt: skip


def test_value_takes_lists_with_commas(run: Run, asked: Asked) -> None:
    result = run("value", "shop", "--package", "sub-spindle, auto-door", "--without", "std,")
    package = "sub-spindle, auto-door"
    assert asked.calls == [PackageRequest(shop.case(), package=package, without=("std",))]
    assert "One future in ten leaves less." in result.stdout


def test_the_bare_standard_machine_has_an_empty_package(run: Run, asked: Asked) -> None:
    result = run("value", "shop", "--package", "", "--json", "-")
    assert asked.calls == [PackageRequest(shop.case())]
    assert json.loads(result.stdout)["id"] == "asked"


def test_what_if_takes_figures_as_often_as_given(run: Run, asked: Asked) -> None:
    result = run(
        "whatif", "shop", "--chance", "night=1", "--price", "robot-cell=65000.5", "--chance",
        "bars=0.1", "--discount-rate", "0.075", "--nudge", "automation=+1", "--budget", 400000,
    )  # fmt: skip
    (request,) = asked.calls
    assert [f"{change.figure} {change.value:g}" for change in request.changes] == [
        "nudge automation 1", "chance night 1", "chance bars 0.1", "price robot-cell 65000.5",
        "discount-rate 0.075",
    ]  # fmt: skip
    assert (request.case, request.budget, request.seconds) == (shop.case(), 400000.0, None)
    assert "VERDICTS THAT TURN (1)" in result.stdout


def test_turning_goes_along_a_range_of_one_figure(run: Run, asked: Asked) -> None:
    result = run("turning", "shop", "--chance", "night", "--from", 0, "--to", 1, "--steps", 3)
    run("turning", "shop", "--driver", "automation", "--steps", 2)
    run("turning", "shop", "--horizon", "--from", 4, "--to", 6, "--steps", 2)
    assert [(str(request.figure), request.values) for request in asked.calls] == [
        ("chance night", (0.0, 0.5, 1.0)),
        ("nudge automation", (-2.0, 2.0)),
        ("horizon", (4.0, 6.0)),
    ]
    assert "WHERE VERDICTS TURN" in result.stdout


def test_questions_of_many_valuations_are_handed_to_workers(run: Run, asked: Asked) -> None:
    figure = ("turning", "shop", "--chance", "night")
    run(*figure)
    run(*figure, "--workers", 2)
    run("compare", "shop", "--on", "tcp://there:8786")
    run("advise", "shop", "--break-even", "--workers", 3, "--on", "tcp://there:8786")
    here, two, there, also_there = asked.pools
    assert here is None
    assert isinstance(two, partial)
    assert (two.func, two.args, two.keywords) == (workers.processes, (2,), {"keep": True})
    for cluster in (there, also_there):
        assert isinstance(cluster, partial)
        assert (cluster.func, cluster.args) == (workers.cluster, ("tcp://there:8786",))


def test_what_if_and_turning_answer_in_json(run: Run) -> None:
    told = run("whatif", "shop", "--chance", "night=1", "--json", "-").stdout
    assert WhatIf.model_validate_json(told) == whatifs.what_if()
    told = run("turning", "shop", "--chance", "night", "--json", "-").stdout
    assert Turning.model_validate_json(told) == whatifs.turning()


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
        (
            ("advise", "shop", "--budget", "350,000"),
            "'350,000' is not an amount of 0 or more and below",
        ),
        (("advise", "shop", "--budget", "nan"), "'nan' is not an amount"),
        (("advise", "shop", "--budget", "-5"), "'-5' is not an amount"),
        (("advise", "shop", "--futures", "3"), "futures: 3 is not allowed"),
        (("advise", "shop", "--futures", "many"), "'many' is not a whole number."),
        (("advise", "shop", "--precision", "0.1"), "'0.1' is neither 'calls' nor a percentage"),
        (("advise", "shop", "--precision", "0%"), "'0%' is neither"),
        (("advise", "shop", "--precision", "nan%"), "'nan%' is neither"),
        (("advise", "shop", "--json", "no/such/place.json"), "no file in an existing folder"),
        (("value", "shop"), "Missing option '--package'"),
        (("whatif", "shop", "--chance", "night"), "--chance: 'night' is not understood."),
        (("turning", "shop"), "One figure is changed along a range; found none."),
        (("turning", "shop", "--driver", "autmation"), "Did you mean 'automation'?"),
        (("turning", "shop", "--price", "robot-cell", "--from", "1e9"), "is not below --to"),
        (("turning", "shop", "--driver", "automation", "--steps", "1"), "--steps 1 is not"),
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

    monkeypatch.setattr("optioneer.files.plain.atomic.write_text_atomically", refuse)
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
        sys.modules["optioneer.study.advice.advice"], "advice", raising(KeyboardInterrupt())
    )
    result = run("advise", "shop")
    assert result.exit_code == 130
    assert result.stderr == "Stopped before it was done.\n"


def test_a_fault_of_the_program_is_not_hidden(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        sys.modules["optioneer.study.advice.advice"], "advice", raising(ZeroDivisionError())
    )
    result = run("advise", "shop")
    assert isinstance(result.exception, ZeroDivisionError)


def test_the_environment_chooses_the_locale(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LANG", "de_DE.UTF-8")
    assert "372.000,50\u00a0$ in all." in run("advise", "shop").stdout.replace("\n", " ")


def test_advise_weighs_the_worst_tenth_when_asked(run: Run, asked: Asked) -> None:
    result = run("advise", "shop", "--risk", "cvar")
    run("advise", "shop", "--risk", "cvar", "--weight", "0.5", "--budget", "380000")
    usual = AdviceRequest(shop.case(), weight=0.3, prove=True)
    assert asked.calls == [usual, replace(usual, weight=0.5, budget=380_000.0)]
    assert "saves $12,600 in the worst tenth" in " ".join(result.stdout.split())


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--risk", "bold"), "--risk: there is no 'bold'. Write mean or cvar."),
        (("--weight", "0.3"), "--weight goes with --risk cvar"),
        (("--risk", "cvar", "--break-even"), "--break-even counts the average"),
    ],
)
def test_attitudes_that_do_not_fit_are_refused(
    run: Run, arguments: tuple[str, ...], said: str
) -> None:
    result = run("advise", "shop", *arguments)
    assert result.exit_code == 2
    assert said in result.stderr
