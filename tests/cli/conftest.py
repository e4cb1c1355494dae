"""The commands through the runner, on a hand-made case and made-up answers."""

import sys
from collections.abc import Iterator

import pytest
from typer.testing import CliRunner

from optioneer.cli import app
from optioneer.study.compare.compare import ComparisonRequest
from optioneer.study.whatif import whatif
from tests.cli.fakes import WHAT_IF, Asked, Run, module, reading, write_starter
from tests.lessons import few_lessons

ON_MANY_LESSONS = {"test_end_to_end"}
"""Files that hold what is answered here against what a process of its own answers."""


@pytest.fixture(scope="module", autouse=True)
def on_few_lessons(request: pytest.FixtureRequest) -> Iterator[None]:
    if request.path.stem in ON_MANY_LESSONS:
        yield
        return
    with few_lessons():
        yield


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    asked = Asked()
    fakes: dict[str, dict[str, object]] = {
        "optioneer.files.case.read": {"reading": reading},
        "optioneer.files.case.starter": {"write_starter": write_starter},
        "optioneer.study.advice.advice": {
            "advice": asked.advice,
            "package_value": asked.package_value,
        },
        "optioneer.study.whatif.whatif": {
            **{name: getattr(whatif, name) for name in WHAT_IF},
            "what_if": asked.what_if,
            "shifts": asked.shifts,
            "turning": asked.turning,
        },
        "optioneer.study.compare.compare": {
            "ComparisonRequest": ComparisonRequest,
            "comparison": asked.comparison,
        },
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
