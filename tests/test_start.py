"""The way in and out of the process: interrupted at once, with output that is closed or full."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from optioneer.cli import app
from tests.patience import PATIENCE

ROOT = Path(__file__).parent.parent
MILL = "catalogs_demo/small-mill"
INTERRUPTED_AT = """
import sys
class AtOnce:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            raise KeyboardInterrupt
sys.meta_path.insert(0, AtOnce())
sys.argv[1:] = ["check", {case!r}]
from optioneer.start import main
main()
"""


def shell(command: str) -> subprocess.CompletedProcess[str]:
    """What a command of a shell comes to."""
    return subprocess.run(
        ["/bin/sh", "-c", command.replace("optioneer", f"{sys.executable} -m optioneer")],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE,
    )


@pytest.mark.parametrize(
    "module", ["typer", "optioneer.cli", "optioneer.files.case.read", "pydantic"]
)
def test_ctrl_c_while_modules_are_imported_ends_with_a_word(module: str) -> None:
    code = INTERRUPTED_AT.format(module=module, case=MILL)
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE,
    )
    assert (done.returncode, done.stderr) == (130, "Stopped before it was done.\n")


def test_nothing_that_takes_time_is_imported_before_ctrl_c_is_caught() -> None:
    code = "import sys; import optioneer.start; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert not {"typer", "importlib.metadata", "optioneer.cli"} & set(done.stdout.split())


def test_a_mistake_is_told_without_what_values_a_case() -> None:
    code = (
        "import atexit, sys; atexit.register(lambda: print(*sys.modules))\n"
        "sys.argv[1:] = ['check', 'no/such/folder']\n"
        "from optioneer.start import main; main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "no/such/folder" in done.stderr
    assert not {"scipy", "optioneer.valuation"} & set(done.stdout.split())


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device of Linux")
@pytest.mark.parametrize(
    "command",
    [
        f"optioneer check {MILL}",
        f"optioneer cash {MILL} --package base --json -",
        "optioneer --help",
        "optioneer --version",
        f"optioneer workbook {MILL} --out /dev/full",
    ],
)
def test_output_that_is_full_ends_with_one_sentence(command: str) -> None:
    done = shell(f"{command} > /dev/full")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    "command", [f"optioneer check {MILL}", f"optioneer cash {MILL} --package base --json -"]
)
def test_output_that_is_closed_ends_with_one_sentence(command: str) -> None:
    done = shell(f"{command} >&-")
    assert (done.returncode, done.stderr) == (
        2,
        "Standard output is closed: there is nowhere to put the answer.\n",
    )


def test_closed_errors_keep_no_answer_back() -> None:
    done = shell(f"optioneer check {MILL} 2>&-")
    assert done.returncode == 0
    assert "No faults." in done.stdout


@pytest.mark.parametrize("option", ["--json", "--chart", "--csv"])
def test_a_name_too_long_for_the_file_system_is_refused_in_one_sentence(
    option: str, tmp_path: Path
) -> None:
    name = tmp_path / f"{'a' * 300}.json"
    folder = str(ROOT / MILL)
    done = CliRunner().invoke(app, ["cash", folder, "--package", "base", option, str(name)])
    assert done.exit_code == 2
    assert isinstance(done.exception, SystemExit)
    assert f"{option}: File name too long" in done.stderr
    assert done.stderr.count("\n") == 1
